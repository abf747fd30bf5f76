package org.estampage.benchmarks.reference;

import static java.lang.foreign.ValueLayout.JAVA_DOUBLE;
import static java.lang.foreign.ValueLayout.JAVA_FLOAT;
import static java.lang.foreign.ValueLayout.JAVA_INT;

import java.lang.foreign.Arena;
import java.lang.foreign.MemorySegment;
import java.lang.invoke.MethodHandle;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * A mesh in the native reference.
 *
 * <p>The system property {@value #LIBRARY} says where the library is that {@code src/main/native/build} compiles.
 *
 * @edge both sides of triangles count
 * @threads safe for concurrent calls with different rays; must not be closed while one runs
 */
public final class NativeScene implements AutoCloseable {
    /** The system property that holds the path of the library. */
    public static final String LIBRARY = "estampage.reference";

    /** The ways in which the library takes rays. */
    public enum Mode {
        /** One ray a call. */
        SINGLE(1, false),
        /** Packets of 8, told that their rays stay together. */
        PACKET8_COHERENT(8, true),
        /** Packets of 8, told that their rays go anywhere. */
        PACKET8_INCOHERENT(8, false),
        /** Packets of 16, told that their rays stay together. */
        PACKET16_COHERENT(16, true),
        /** Packets of 16, told that their rays go anywhere. */
        PACKET16_INCOHERENT(16, false),
        /** Streams, told that their rays stay together. */
        STREAM_COHERENT(256, true),
        /** Streams, told that their rays go anywhere. */
        STREAM_INCOHERENT(256, false);

        private final int width;
        private final int coherent;

        Mode(int width, boolean coherent) {
            this.width = width;
            this.coherent = coherent ? 1 : 0;
        }

        /** Returns the name as it is printed, such as {@code packet16-coherent}. */
        public String label() {
            return name().toLowerCase(Locale.ROOT).replace('_', '-');
        }
    }

    /** How much effort goes into the build. */
    public enum Quality {
        /** Quick to build. */
        LOW(0),
        /** The library's usual one. */
        MEDIUM(1),
        /** With spatial splits. */
        HIGH(2);

        /** The number that the library knows it by. */
        private final int code;

        Quality(int code) {
            this.code = code;
        }
    }

    /**
     * What a scene is built with.
     *
     * @param quality how much effort goes into the build
     * @param robust  whether edges are watertight
     * @param threads how many threads build
     * @param config  further words for the library's device, such as {@code isa=avx2}; may be empty
     */
    public record Options(Quality quality, boolean robust, int threads, String config) {
        /**
         * Checks the numbers.
         *
         * @throws IllegalArgumentException if {@code threads} is not 1 … 1024
         */
        public Options {
            Objects.requireNonNull(quality, "quality");
            Objects.requireNonNull(config, "config");
            if (threads < 1 || threads > 1024) {
                throw new IllegalArgumentException("threads = " + threads + " must be 1 … 1024");
            }
        }
    }

    @SuppressWarnings("NonFinalStaticField") // loaded when first asked for, so that a missing library is said by an exception
    private static @Nullable NativeLibrary loaded;

    private final NativeLibrary library;
    private final MemorySegment handle;
    private final Arena mesh;
    private final double[] measured;

    private NativeScene(NativeLibrary library, MemorySegment handle, Arena mesh, double[] measured) {
        this.library = library;
        this.handle = handle;
        this.mesh = mesh;
        this.measured = measured;
    }

    /** Returns whether the property names a library. It may still fail to load. */
    public static boolean isNamed() {
        return System.getProperty(LIBRARY) != null;
    }

    private static synchronized NativeLibrary library() {
        NativeLibrary library = loaded;
        if (library == null) {
            String path = System.getProperty(LIBRARY);
            if (path == null) {
                throw new IllegalStateException("the system property " + LIBRARY + " must name the library");
            }
            library = new NativeLibrary(Path.of(path));
            loaded = library;
        }
        return library;
    }

    /**
     * Copies a mesh off the heap and builds a scene of it.
     *
     * @param positions x y z of every vertex
     * @param triangles three vertices a triangle
     * @throws IllegalStateException if no library is named, or if it reports an error
     * @throws UnsatisfiedLinkError  if the library, or what it needs, can't be loaded
     */
    @SuppressWarnings("MustBeClosed") // the scene closes it
    public static NativeScene build(float[] positions, int[] triangles, Options options) {
        NativeLibrary library = library();
        Arena mesh = Arena.ofShared();
        try (Arena call = Arena.ofConfined()) {
            // The library reads 16 bytes for the last vertex too.
            MemorySegment p = mesh.allocate((positions.length + 4L) * Float.BYTES, 64);
            MemorySegment t = mesh.allocate((triangles.length + 4L) * Integer.BYTES, 64);
            MemorySegment.copy(positions, 0, p, JAVA_FLOAT, 0, positions.length);
            MemorySegment.copy(triangles, 0, t, JAVA_INT, 0, triangles.length);
            String config = "threads=" + options.threads + (options.config.isEmpty() ? "" : "," + options.config);
            MemorySegment out = call.allocate(JAVA_DOUBLE, 6);
            MemorySegment handle = (MemorySegment) library.build.invokeExact(p, positions.length / 3, t, triangles.length / 3,
                    options.quality.code, options.robust ? 1 : 0, call.allocateFrom(config), out);
            double[] measured = out.toArray(JAVA_DOUBLE);
            if (handle.address() == 0) {
                throw new IllegalStateException("the native reference reports error " + (int) measured[4] + " for \"" + config + "\"");
            }
            return new NativeScene(library, handle, mesh, measured);
        } catch (Throwable e) {
            mesh.close();
            throw unchecked(e);
        }
    }

    /** Returns the processor time of the whole process that the build took, in seconds. */
    public double buildCpuSeconds() {
        return measured[0];
    }

    /** Returns how long the build took, in seconds. */
    public double buildWallSeconds() {
        return measured[1];
    }

    /** Returns the bytes in use beside the mesh. */
    public long bytes() {
        return (long) measured[2];
    }

    /** Returns the most bytes in use during the build, beside the mesh. */
    public long peakBytes() {
        return (long) measured[3];
    }

    /** Returns the library's version, such as 3.13.5. */
    public String version() {
        int version = (int) measured[5];
        return version / 10000 + "." + version / 100 % 100 + "." + version % 100;
    }

    /**
     * Finds the first hits of rays {@code first … end − 1}.
     *
     * @throws IndexOutOfBoundsException if there are no such rays
     */
    public void closestHits(NativeRays rays, int first, int end, Mode mode) {
        Objects.checkFromToIndex(first, end, rays.size());
        call(library.closest, rays, first, end, mode, true);
    }

    /**
     * Finds out whether rays {@code first … end − 1} hit anything.
     *
     * @throws IndexOutOfBoundsException if there are no such rays
     */
    public void anyHits(NativeRays rays, int first, int end, Mode mode) {
        Objects.checkFromToIndex(first, end, rays.size());
        call(library.any, rays, first, end, mode, false);
    }

    private void call(MethodHandle function, NativeRays rays, long first, long end, Mode mode, boolean closest) {
        try {
            if (closest) {
                function.invokeExact(handle, mode.width, mode.coherent, rays.planes, rays.stride, first, end, rays.distances,
                        rays.triangles);
            } else {
                function.invokeExact(handle, mode.width, mode.coherent, rays.planes, rays.stride, first, end, rays.flags);
            }
        } catch (Throwable e) {
            throw unchecked(e);
        }
    }

    /** Frees scene and mesh. */
    @Override
    public void close() {
        try {
            library.release.invokeExact(handle);
        } catch (Throwable e) {
            throw unchecked(e);
        } finally {
            mesh.close();
        }
    }

    /** Method handles declare anything; these functions throw nothing of their own. */
    private static RuntimeException unchecked(Throwable e) {
        if (e instanceof Error error) {
            throw error;
        }
        return e instanceof RuntimeException runtime ? runtime : new IllegalStateException(e);
    }
}
