package org.estampage.console;

import java.lang.reflect.Field;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import jdk.jshell.execution.LocalExecutionControl;
import jdk.jshell.execution.LocalExecutionControlProvider;
import jdk.jshell.spi.ExecutionControl;
import jdk.jshell.spi.ExecutionEnv;
import org.jspecify.annotations.Nullable;

/**
 * Runs snippets in this JVM and keeps what the last one gave as an object. JShell itself makes a text of every value, for an array of all its numbers,
 * whether anybody wants to read it or not.
 *
 * <p>What was asked to stop and has not within {@link #PATIENCE} can be left: the prompt goes on, and the snippet comes to its end on its own thread,
 * at the next look at its task, in a verb's cancellation.
 *
 * @threads confined, but for {@code stop}
 */
final class SnippetExecution extends LocalExecutionControl {
    /** Half of the half second within which people get their prompt back: the rest is for machines that are busy. */
    static final Duration PATIENCE = Duration.ofMillis(250);

    /** The snippet's own thread learns by it which run it is. */
    private static final InheritableThreadLocal<Run> RUNNING = new InheritableThreadLocal<>();

    private static final Method RUN = runMethod();

    private final Object lock = new Object();
    private @Nullable Run run;
    private boolean stopped;
    private boolean leaves;
    private volatile @Nullable Object value;
    /** Where a variable is that a declaration gave its value, by its name. */
    private final Map<String, Field> given = new HashMap<>();
    private @Nullable Field askedFor;
    private boolean wasLeft;

    /** Makes executions, of which the last is at hand. */
    static final class Provider extends LocalExecutionControlProvider {
        private @Nullable SnippetExecution made;

        @Override
        public ExecutionControl createExecutionControl(ExecutionEnv env, Map<String, String> parameters) {
            made = new SnippetExecution();
            return made;
        }

        SnippetExecution made() {
            return Objects.requireNonNull(made, "no shell was built");
        }
    }

    /** One run of a snippet. Its threads are those of this group and of the groups within it. */
    private static final class Run extends ThreadGroup {
        private final Method snippet;
        private final CompletableFuture<@Nullable String> outcome = new CompletableFuture<>();
        private volatile boolean left;
        private volatile @Nullable Object value;

        Run(Method snippet) {
            super("snippet");
            this.snippet = snippet;
        }
    }

    private SnippetExecution() {
    }

    private static Method runMethod() {
        try {
            Method method = SnippetExecution.class.getDeclaredMethod("runSnippet");
            method.setAccessible(true);
            return method;
        } catch (NoSuchMethodException e) {
            throw new IllegalStateException(e);
        }
    }

    /** Lets snippets be left that do not stop when they are asked to. */
    void leaveWhatDoesNotStop() {
        leaves = true;
    }

    /** Forgets that an earlier snippet was asked to stop. */
    void begin() {
        synchronized (lock) {
            stopped = false;
        }
    }

    @Override
    protected @Nullable String invoke(Method snippet) throws Exception {
        Run begun = new Run(snippet);
        synchronized (lock) {
            if (stopped) { // while it was compiled
                throw new StoppedException();
            }
            run = begun;
        }
        Thread thread = new Thread(begun, () -> complete(begun), "waits for a snippet");
        thread.setDaemon(true);
        thread.start();
        try {
            String text = begun.outcome.get();
            value = begun.value;
            for (Field field : snippet.getDeclaringClass().getDeclaredFields()) {
                field.setAccessible(true);
                given(field.getName(), field);
            }
            return text;
        } catch (ExecutionException e) {
            if (e.getCause() instanceof Error error) {
                throw error;
            }
            throw (Exception) e.getCause();
        } finally {
            wasLeft |= begun.left;
            synchronized (lock) {
                run = null;
            }
        }
    }

    @SuppressWarnings("CatchingUnchecked") // whatever it is, it is handed on
    private void complete(Run begun) {
        RUNNING.set(begun);
        try {
            begun.outcome.complete(super.invoke(RUN));
        } catch (Exception | Error e) {
            begun.outcome.completeExceptionally(e);
        }
    }

    /** Runs the snippet in its own thread; what it throws comes out as if it had been called directly. */
    @SuppressWarnings("unused") // called by reflection
    private static @Nullable Object runSnippet() throws Throwable {
        Run begun = RUNNING.get();
        RUNNING.remove();
        try {
            begun.value = begun.snippet.invoke(null);
            return null;
        } catch (InvocationTargetException e) {
            throw e.getCause();
        }
    }

    @Override
    public void stop() throws EngineTerminationException, InternalException {
        Run asked;
        synchronized (lock) {
            stopped = true;
            asked = run;
        }
        if (asked == null) {
            return;
        }
        super.stop();
        if (leaves) {
            CompletableFuture.delayedExecutor(PATIENCE.toMillis(), TimeUnit.MILLISECONDS, task -> Thread.ofPlatform().daemon().start(task))
                    .execute(() -> {
                        asked.left = true;
                        asked.outcome.completeExceptionally(new StoppedException());
                    });
        }
    }

    /**
     * Returns when the calling thread does not belong to a snippet that was left.
     *
     * @throws CancellationException if it does: nobody waits for it any more, and verbs must not work for it
     */
    static void check() {
        for (ThreadGroup group = Thread.currentThread().getThreadGroup(); group != null; group = group.getParent()) {
            if (group instanceof Run run && run.left) {
                throw new CancellationException("cancelled");
            }
        }
    }

    /** Notes where a variable is, in place of where its value is; {@link #takeAskedFor} has it. Its value as text would be made for nobody. */
    @Override
    public String varValue(String className, String name) throws InternalException {
        try {
            askedFor = findClass(className).getDeclaredField(name);
            askedFor.setAccessible(true);
            return "";
        } catch (ReflectiveOperationException e) {
            throw new InternalException(e.toString());
        }
    }

    /** Returns the variable that JShell was last asked the value of, and forgets it. */
    @Nullable
    Field takeAskedFor() {
        Field taken = askedFor;
        askedFor = null;
        return taken;
    }

    /** Notes that a variable has its value. */
    void given(String name, Field home) {
        given.put(name, home);
    }

    /** Returns where a variable last got its value. */
    Optional<Field> lastGiven(String name) {
        return Optional.ofNullable(given.get(name));
    }

    /** Returns whether a snippet was left since this was last asked. */
    boolean takeWasLeft() {
        boolean taken = wasLeft;
        wasLeft = false;
        return taken;
    }

    /** Returns what the last snippet gave, and forgets it. */
    @Nullable
    Object takeValue() {
        Object taken = value;
        value = null;
        return taken;
    }
}
