package org.estampage.internal.kernel;

import java.io.IOException;
import java.io.InputStream;
import java.lang.invoke.MethodHandle;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.MethodType;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;

/**
 * Makes the walks of each width. The compiler turns vectors into instructions only where the species is a constant of the class; a hidden class a width
 * gives one source that.
 *
 * @threads safe for concurrent calls
 */
public final class WideKernels {
    private static final Map<Integer, MethodHandle> STREAMS = new ConcurrentHashMap<>();
    private static final Map<Integer, MethodHandle> NEAREST = new ConcurrentHashMap<>();

    private WideKernels() {
    }

    /**
     * Returns a new walk for trees of so many lanes.
     *
     * @param lanes 4, 8 or 16
     * @throws IllegalStateException if the Vector API's module is missing
     */
    public static WideStream stream(int lanes) {
        return WideStream.class.cast(make(STREAMS, "VectorStream", lanes));
    }

    /** Returns a new walk without vectors, for trees of any number of lanes. */
    public static WideStream plain() {
        return new PlainStream();
    }

    /** Returns a new walk to nearest points, as {@link #stream}. */
    static WideNearest nearest(int lanes) {
        return WideNearest.class.cast(make(NEAREST, "VectorNearest", lanes));
    }

    private static Object make(Map<Integer, MethodHandle> constructors, String name, int lanes) {
        try {
            return (Object) constructors.computeIfAbsent(lanes, n -> constructor(name, n)).invokeExact();
        } catch (RuntimeException | Error e) {
            throw e;
        } catch (Throwable e) {
            throw new IllegalStateException(e);
        }
    }

    private static MethodHandle constructor(String name, int lanes) {
        if (ModuleLayer.boot().findModule("jdk.incubator.vector").isEmpty()) {
            throw new IllegalStateException("the module jdk.incubator.vector is missing (--add-modules)");
        }
        try (InputStream in = WideKernels.class.getResourceAsStream(name + ".class")) {
            if (in == null) {
                throw new IllegalStateException("the class file of " + name + " is missing");
            }
            MethodHandles.Lookup hidden = MethodHandles.lookup().defineHiddenClassWithClassData(in.readAllBytes(), lanes, true);
            return hidden.findConstructor(hidden.lookupClass(), MethodType.methodType(void.class))
                    .asType(MethodType.methodType(Object.class));
        } catch (IOException | ReflectiveOperationException e) {
            throw new IllegalStateException(e);
        }
    }

    /** Returns the class data of a hidden class that asks about itself: its number of lanes. */
    static int lanes(MethodHandles.Lookup self) {
        try {
            return MethodHandles.classData(self, "_", Integer.class);
        } catch (IllegalAccessException e) {
            throw new IllegalStateException(e);
        }
    }
}
