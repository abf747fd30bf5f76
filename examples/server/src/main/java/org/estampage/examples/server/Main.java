package org.estampage.examples.server;

import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.estampage.bake.Baker;

/** Starts a server from a command line: {@code [port=8080] [address=127.0.0.1] [jobs=1] [queue=8] [name=bakes.example]…}. */
public final class Main {
    /** How long bakes under way may go on when the program is asked to end. */
    private static final Duration GRACE = Duration.ofSeconds(30);
    /** Connections beyond these are closed at once; each request may have a few, as browsers open them. The JDK's server knows no bound of its own. */
    private static final String MOST_CONNECTIONS = "jdk.httpserver.maxConnections";
    private static final int CONNECTIONS_A_REQUEST = 4;

    private Main() {
    }

    /** Starts a server, says where it is, and stops it when the program is asked to end. */
    public static void main(String[] args) throws IOException {
        InetAddress address = InetAddress.getLoopbackAddress();
        int port = 8080;
        Limits limits = Limits.usual();
        List<String> names = new ArrayList<>();
        for (String arg : args) {
            int at = arg.indexOf('=');
            String value = arg.substring(at + 1);
            switch (arg.substring(0, Math.max(0, at))) {
                case "port" -> port = Integer.parseInt(value);
                case "address" -> address = InetAddress.getByName(value);
                case "jobs" -> limits = sharing(limits.withJobs(Integer.parseInt(value), limits.queued(), limits.jobs()));
                case "queue" -> limits = limits.withJobs(limits.jobsAtOnce(), Integer.parseInt(value), limits.jobs());
                case "name" -> names.add(value.toLowerCase(java.util.Locale.ROOT));
                default -> throw new IllegalArgumentException(arg + " is none of port=, address=, jobs=, queue=, name=");
            }
        }
        if (System.getProperty(MOST_CONNECTIONS) == null) {
            System.setProperty(MOST_CONNECTIONS, Integer.toString(CONNECTIONS_A_REQUEST * limits.requests()));
        }
        BakeServer server = BakeServer.start(new InetSocketAddress(address, port), limits, Baker.create(),
                Path.of(System.getProperty("java.io.tmpdir")), names);
        IO.println("bakes are served at http://" + address.getHostAddress() + ":" + server.port() + "/jobs");
        Runtime.getRuntime().addShutdownHook(new Thread(() -> {
            try {
                server.stop(GRACE);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
        }));
    }

    /** Returns limits whose bakes share this JVM's heap, each with the same part, and one part for a mesh that is read. */
    private static Limits sharing(Limits limits) {
        return limits.withSizes(limits.uploadBytes(), limits.triangles(), limits.texels(),
                Runtime.getRuntime().maxMemory() / (limits.jobsAtOnce() + 1));
    }
}
