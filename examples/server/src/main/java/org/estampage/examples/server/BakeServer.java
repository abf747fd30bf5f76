package org.estampage.examples.server;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.lang.System.Logger;
import java.net.InetSocketAddress;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.Semaphore;
import org.estampage.bake.Baker;
import org.estampage.examples.server.Deadlines.Deadline;

/**
 * A server of bakes over HTTP, on the JDK's own {@link HttpServer}: a thin layer for tests and studios' own networks; transport encryption and users are a
 * matter of what stands before it.
 *
 * {@snippet :
 * try (BakeServer server = BakeServer.start(BakeServer.loopback(8080), Limits.usual(), Baker.create(), folder, List.of())) {
 *     server.port();
 * }
 * }
 *
 * @threads safe for concurrent calls; a virtual thread a request, a platform thread a bake
 */
public final class BakeServer implements AutoCloseable {
    private static final Logger LOG = System.getLogger(BakeServer.class.getName());
    /** How long a client may take for the first line and the headers of a request. */
    private static final Duration HEADERS = Duration.ofSeconds(10);
    private static final Duration RETRY = Duration.ofSeconds(1);
    /** The deadline of the request that a thread answers, set before its first byte is read. */
    private static final ScopedValue<Deadline> DEADLINE = ScopedValue.newInstance();

    private final HttpServer http;
    private final ExecutorService threads;
    /** All bakes share these: two at once take no more processors than one. */
    private final ExecutorService workers;
    private final ScheduledThreadPoolExecutor timer;
    private final Deadlines deadlines;
    private final Jobs jobs;
    private final Routes routes;
    private final Limits limits;
    private final List<String> names;
    private final Semaphore requests;

    private BakeServer(InetSocketAddress address, Limits limits, Baker baker, Path folder, List<String> names) throws IOException {
        this.limits = limits;
        this.names = List.copyOf(names);
        http = HttpServer.create(address, 0);
        timer = new ScheduledThreadPoolExecutor(1, Thread.ofPlatform().daemon().name("estampage-timer").factory());
        timer.setRemoveOnCancelPolicy(true);
        threads = Executors.newThreadPerTaskExecutor(Thread.ofVirtual().name("estampage-request-", 0).factory());
        workers = Executors.newFixedThreadPool(Runtime.getRuntime().availableProcessors(),
                Thread.ofPlatform().daemon().name("estampage-worker-", 0).factory());
        requests = new Semaphore(limits.requests());
        Room room = new Room(baker, limits);
        jobs = new Jobs(limits, baker.executor(workers), room, timer, folder);
        routes = new Routes(jobs, room, limits, timer);
        deadlines = new Deadlines(timer);
        Duration headers = HEADERS.compareTo(limits.silence()) < 0 ? HEADERS : limits.silence();
        http.setExecutor(exchange -> threads.execute(() -> {
            try (Deadline deadline = deadlines.in(headers)) {
                ScopedValue.where(DEADLINE, deadline).run(exchange);
            }
        }));
        http.createContext("/", this::answer);
    }

    /** Returns the address of a port that only this machine reaches; 0 takes any that is free. */
    public static InetSocketAddress loopback(int port) {
        return new InetSocketAddress(java.net.InetAddress.getLoopbackAddress(), port);
    }

    /**
     * Starts a server.
     *
     * @param address where it listens
     * @param limits  what its clients can have
     * @param baker   who bakes; its workers are threads of the server, which all bakes share
     * @param folder  where its jobs' files go while they live, in a new folder that is deleted at the end
     * @param names   the names in the header Host, in small letters, by which it is reached besides this machine's own: a name that is none of these is refused, so
     *                that a page of another site can't reach a server on its visitor's machine
     * @throws IOException if the address is taken, or the folder can't be written
     */
    public static BakeServer start(InetSocketAddress address, Limits limits, Baker baker, Path folder, List<String> names)
            throws IOException {
        BakeServer server = new BakeServer(address, limits, baker, folder, names);
        server.http.start();
        return server;
    }

    /** Returns the port it listens on. */
    public int port() {
        return http.getAddress().getPort();
    }

    /** Returns how many requests are being answered. */
    public int requestCount() {
        return limits.requests() - requests.availablePermits();
    }

    @SuppressWarnings("CatchingUnchecked") // a mistake in one answer must not take the connection's other answers with it, nor go unheard
    private void answer(HttpExchange exchange) {
        boolean free = requests.tryAcquire();
        try (exchange) {
            Call call = new Call(exchange, DEADLINE.get(), limits.silence());
            try {
                if (!free) {
                    throw new ProblemException(Problem.later(ProblemKind.BUSY, limits.requests() + " requests are being answered", RETRY));
                }
                if (!call.isFor(names)) {
                    throw new ProblemException(ProblemKind.WRONG_HOST, "the header Host names another server");
                }
                routes.answer(call);
            } catch (ProblemException e) {
                call.reply(e.problem());
            } catch (RuntimeException | Error e) {
                LOG.log(Logger.Level.ERROR, exchange.getRequestMethod() + " " + exchange.getRequestURI().getRawPath(), e);
                call.reply(Problem.of(ProblemKind.FAILED, "the request failed in a way that nobody foresaw"));
            }
        } catch (IOException e) {
            LOG.log(Logger.Level.DEBUG, "a client went away, or was silent for too long", e);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        } finally {
            if (free) {
                requests.release();
            }
        }
    }

    /**
     * Stops the server: no more jobs are taken, bakes under way get some time, and all files are deleted.
     *
     * @param grace how long bakes under way may go on
     */
    public void stop(Duration grace) throws InterruptedException {
        jobs.close(grace);
        http.stop(1);
        threads.shutdownNow();
        workers.shutdown();
        deadlines.close();
        timer.shutdownNow();
    }

    /** Stops the server at once; a bake under way is cancelled. */
    @Override
    public void close() {
        try {
            stop(Duration.ZERO);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }
}
