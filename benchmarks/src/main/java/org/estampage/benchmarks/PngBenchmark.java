package org.estampage.benchmarks;

import java.awt.Transparency;
import java.awt.color.ColorSpace;
import java.awt.image.BufferedImage;
import java.awt.image.ComponentColorModel;
import java.awt.image.DataBuffer;
import java.awt.image.Raster;
import java.awt.image.WritableRaster;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.util.Arrays;
import java.util.Map;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.TimeUnit;
import javax.imageio.ImageIO;
import javax.imageio.stream.ImageOutputStream;
import javax.imageio.stream.MemoryCacheImageOutputStream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.Baker;
import org.estampage.benchmarks.reference.ProcessClock;
import org.estampage.image.FloatImage;
import org.estampage.io.png.PngWriter;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.openjdk.jmh.annotations.AuxCounters;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.TearDown;
import org.openjdk.jmh.annotations.Warmup;

/**
 * Time to write a baked normal map of the bollard as PNG, to nowhere: ours from the map's floats, the JDK's from samples that are whole numbers
 * already.
 */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 2, time = 4)
@Measurement(iterations = 3, time = 4)
@Fork(value = 1, jvmArgsAppend = {"-Xmx3g", "--add-modules", "jdk.incubator.vector"})
public class PngBenchmark {
    /** The side of the map in texels. */
    @Param("4096")
    public int texels;

    /** Triangles of the bollard. */
    @Param("1000000")
    public int triangles;

    /** Bits a sample. */
    @Param({"8", "16"})
    public int bits;

    /** Who writes: {@code imageio}, which knows one thread, or ours in a pool of 1 or 2. */
    @Param({"imageio", "ours-1", "ours-2"})
    public String writer = "imageio";

    private FloatImage map;
    private BufferedImage picture;
    private ForkJoinPool pool;

    /** Sums over calls. */
    @State(Scope.Thread)
    @AuxCounters(AuxCounters.Type.EVENTS)
    public static class Sums {
        /** Milliseconds of the whole process on processors, which a busy machine lengthens less than the time on the clock. */
        public double processorMilliseconds;
        /** Millions of bytes. */
        public double fileMegabytes;
        /** Calls. */
        public long files;

        /** Makes the counter. */
        public Sums() {
        }
    }

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public PngBenchmark() {
    }

    /**
     * Bakes the map, and checks that what is written decodes to the map's samples.
     *
     * @throws IOException           if writing fails
     * @throws IllegalStateException if it decodes to others
     */
    @Setup(Level.Trial)
    public void bake() throws IOException {
        Shape shape = Bollard.generate(triangles);
        Mesh high = Mesh.builder(shape.positions(), shape.triangles()).build();
        Mesh low = Lathe.around(high).sides(96).rings(12).capped().size(texels).build();
        BakeJob job = BakeJob.of(low, high).size(texels).samples(1).maps(NormalMap.create()).build();
        map = Baker.create().bake(job, Task.silent()).maps().get(0).image();
        picture = picture(map, bits);
        pool = new ForkJoinPool(writer.equals("ours-2") ? 2 : 1);
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        writeTo(out);
        check(ImageIO.read(new ByteArrayInputStream(out.toByteArray())));
    }

    /** Closes the pool. */
    @TearDown(Level.Trial)
    public void close() {
        pool.close();
    }

    private static BufferedImage picture(FloatImage map, int bits) {
        int type = bits == 8 ? DataBuffer.TYPE_BYTE : DataBuffer.TYPE_USHORT;
        ColorSpace space = ColorSpace.getInstance(ColorSpace.CS_sRGB);
        ComponentColorModel model = new ComponentColorModel(space, false, false, Transparency.OPAQUE, type);
        WritableRaster raster = Raster.createInterleavedRaster(type, map.width(), map.height(), 3, null);
        for (int y = 0; y < map.height(); y++) {
            raster.setPixels(0, y, map.width(), 1, row(map, y, bits));
        }
        return new BufferedImage(model, raster, false, null);
    }

    /** Returns a row's samples by the encoding's definition. */
    private static int[] row(FloatImage map, int y, int bits) {
        float[] values = map.read(0, y, map.width(), 1, new float[map.width() * 3]);
        int[] samples = new int[values.length];
        for (int i = 0; i < samples.length; i++) {
            samples[i] = map.encoding().quantise(i % 3, values[i], bits);
        }
        return samples;
    }

    private void check(BufferedImage decoded) {
        for (int y = 0; y < map.height(); y++) {
            int[] there = decoded.getRaster().getPixels(0, y, map.width(), 1, (int[]) null);
            if (!Arrays.equals(there, row(map, y, bits))) {
                throw new IllegalStateException(writer + ": row " + y + " does not decode to the map's samples");
            }
        }
    }

    /** Writes the map. */
    @Benchmark
    public long write(Sums sums) throws IOException {
        double start = ProcessClock.seconds();
        Counter out = new Counter();
        writeTo(out);
        sums.processorMilliseconds += 1e3 * (ProcessClock.seconds() - start);
        sums.fileMegabytes += out.count / 1e6;
        sums.files++;
        return out.count;
    }

    private void writeTo(OutputStream out) throws IOException {
        if (writer.equals("imageio")) {
            try (ImageOutputStream stream = new MemoryCacheImageOutputStream(out)) {
                ImageIO.write(picture, "png", stream);
            }
            return;
        }
        try {
            pool.submit(() -> {
                PngWriter.write(map, bits, Map.of(), out, Task.silent());
                return null;
            }).get();
        } catch (ExecutionException e) {
            throw new IOException(e);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IOException(e);
        }
    }

    /** Counts bytes and forgets them. */
    private static final class Counter extends OutputStream {
        private long count;

        @Override
        public void write(int b) {
            count++;
        }

        @Override
        public void write(byte[] b, int off, int len) {
            count += len;
        }
    }
}
