package org.estampage.examples.editor.model;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.function.Consumer;
import javax.swing.SwingUtilities;
import org.jspecify.annotations.Nullable;

/**
 * A value that views show and are told about when it changes.
 *
 * @param <T> the kind of value, immutable
 * @threads the event dispatch thread only
 */
public final class Value<T extends @Nullable Object> {
    private T value;
    private final List<Consumer<? super T>> listeners = new ArrayList<>();

    /** Makes a value that begins with {@code first}. */
    public Value(T first) {
        value = first;
    }

    /** Returns the value. */
    public T get() {
        return value;
    }

    /**
     * Changes the value and tells everybody, unless it is equal to what it was.
     *
     * @throws IllegalStateException outside the event dispatch thread
     */
    public void set(T next) {
        if (!SwingUtilities.isEventDispatchThread()) {
            throw new IllegalStateException("the editor's values change on the event dispatch thread, not on " + Thread.currentThread());
        }
        if (!Objects.equals(value, next)) {
            value = next;
            List.copyOf(listeners).forEach(listener -> listener.accept(next));
        }
    }

    /** Adds somebody who is told of every change. */
    public void onChange(Consumer<? super T> listener) {
        listeners.add(listener);
    }

    /** Adds somebody who is told the value now, and of every change. */
    public void show(Consumer<? super T> listener) {
        onChange(listener);
        listener.accept(value);
    }
}
