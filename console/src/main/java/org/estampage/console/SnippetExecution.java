package org.estampage.console;

import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import java.util.Map;
import java.util.Objects;
import jdk.jshell.execution.LocalExecutionControl;
import jdk.jshell.execution.LocalExecutionControlProvider;
import jdk.jshell.spi.ExecutionControl;
import jdk.jshell.spi.ExecutionEnv;
import org.jspecify.annotations.Nullable;

/**
 * Runs snippets in this JVM and keeps what the last one gave as an object. JShell itself makes a text of every value, for an array of all its numbers,
 * whether anybody wants to read it or not.
 *
 * @threads confined, but for {@code stop}
 */
final class SnippetExecution extends LocalExecutionControl {
    /** The snippet's own thread learns by it whose snippet it runs. */
    private static final InheritableThreadLocal<SnippetExecution> RUNNING = new InheritableThreadLocal<>();

    private static final Method RUN = runMethod();

    private volatile @Nullable Method pending;
    private volatile @Nullable Object value;

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

    private SnippetExecution() {
    }

    private static Method runMethod() {
        try {
            Method method = SnippetExecution.class.getDeclaredMethod("runPending");
            method.setAccessible(true);
            return method;
        } catch (NoSuchMethodException e) {
            throw new IllegalStateException(e);
        }
    }

    @Override
    protected String invoke(Method snippet) throws Exception {
        pending = snippet;
        RUNNING.set(this);
        try {
            return super.invoke(RUN);
        } finally {
            RUNNING.remove();
            pending = null;
        }
    }

    /** Runs the snippet in its own thread; what it throws comes out as if it had been called directly. */
    @SuppressWarnings("unused") // called by reflection
    private static @Nullable Object runPending() throws Throwable {
        SnippetExecution execution = RUNNING.get();
        RUNNING.remove();
        try {
            execution.value = Objects.requireNonNull(execution.pending).invoke(null);
            return null;
        } catch (InvocationTargetException e) {
            throw e.getCause();
        }
    }

    /** Returns what the last snippet gave, and forgets it. */
    @Nullable
    Object takeValue() {
        Object taken = value;
        value = null;
        return taken;
    }
}
