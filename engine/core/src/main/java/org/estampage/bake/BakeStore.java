package org.estampage.bake;

import java.io.BufferedInputStream;
import java.io.BufferedOutputStream;
import java.io.DataInputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.zip.CRC32C;
import java.util.zip.CheckedOutputStream;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;

/**
 * Keeps single maps of bakes in files, to be taken again by a later bake of the same job ({@link Baker#bake(BakeJob, List, Task)}). A file holds the raw
 * floats of one map, padding included, what was hit and missed, and what was noticed. It does not hold the job: who keeps it must know of which job it is.
 *
 * <p>The form of the files is our own and may change from version to version; a file of another one is refused.
 *
 * @cost as many bytes as the map's floats, and a bit more than three a texel
 * @threads stateless
 */
public final class BakeStore {
    private static final int MAGIC = 0x45537442; // "EStB"
    private static final int VERSION = 1;
    private static final int BUFFER = 1 << 16;

    private BakeStore() {
    }

    /**
     * Writes one map of a bake.
     *
     * @param map  the name of a map that has a recipe, see {@link SurfaceMap#recipe}
     * @param file is made or replaced; half of it may be there when this fails
     * @throws IllegalArgumentException if there is no such map, or it has no recipe
     * @throws IOException              if the file can't be written
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static void write(BakeResult result, String map, Path file, Task task) throws IOException {
        SurfaceMap of = named(result.job(), map);
        String identity = identity(of).orElseThrow(() -> new IllegalArgumentException(
                "map = \"" + map + "\" can't be kept: nobody can tell what its values hang on; give it a version"));
        CRC32C sum = new CRC32C();
        try (OutputStream plain = new BufferedOutputStream(Files.newOutputStream(file), BUFFER);
                DataOutputStream out = new DataOutputStream(new CheckedOutputStream(plain, sum))) {
            out.writeInt(MAGIC);
            out.writeInt(VERSION);
            StoredValues.write(map, out);
            StoredValues.write(identity, out);
            out.writeInt(result.job().width());
            out.writeInt(result.job().height());
            StoredValues.write(result.counts(), out);
            StoredValues.write(result.noticed().ofJob(), out);
            StoredValues.write(result.noticed().saidOf(map), out);
            StoredValues.writeAbout(result.tiles().get(0).baked(map).orElseThrow(), out);
            out.writeInt(result.tiles().size());
            Task.Stage stage = task.stage("keeping " + map, (long) result.tiles().size() * result.job().height());
            for (BakedTile tile : result.tiles()) {
                out.writeInt(tile.number());
                StoredValues.write(tile.covered(), out);
                StoredValues.write(tile.hit(), out);
                StoredValues.write(tile.full(), out);
                out.writeBoolean(tile.missCauses().isPresent());
                if (tile.missCauses().isPresent()) {
                    StoredValues.write(tile.missCauses().get(), null, out);
                }
                StoredValues.write(tile.map(map), stage, out);
            }
            out.writeLong(sum.getValue());
        }
    }

    /**
     * Returns the result of a bake that had one map of a job alone.
     *
     * @param job the job that the map was baked of, with its cage; it may have other maps
     * @throws IOException              if the file can't be read, is broken, or is of another version
     * @throws IllegalArgumentException if the job has no cage, another size, or not this map with this recipe
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @throws java.io.UncheckedIOException if an image has room neither in the task's memory budget nor in a temporary file
     */
    public static BakeResult read(Path file, BakeJob job, Task task) throws IOException {
        Cage cage = job.cage().orElseThrow(() -> new IllegalArgumentException("job has no cage: one that is yet to be fitted is not kept"));
        checkSum(file, task);
        try (DataInputStream in = new DataInputStream(new BufferedInputStream(Files.newInputStream(file), BUFFER))) {
            if (in.readInt() != MAGIC || in.readInt() != VERSION) {
                throw new IOException(file + " holds nothing that this version keeps");
            }
            SurfaceMap map = named(job, StoredValues.readText(in));
            String identity = StoredValues.readText(in);
            if (!identity(map).equals(Optional.of(identity))) {
                throw new IllegalArgumentException("the job's " + map + " is not the map that is kept, " + identity);
            }
            int width = in.readInt(), height = in.readInt();
            if (width != job.width() || height != job.height()) {
                throw new IllegalArgumentException("the job has " + job.width() + " × " + job.height() + " texels, the map that is kept "
                        + width + " × " + height);
            }
            BakeResult.Counts counts = StoredValues.readCounts(in);
            Noticed noticed = new Noticed();
            noticed.ofJob().addAll(StoredValues.readFindings(in));
            noticed.take(map.name(), StoredValues.readFindings(in));
            StoredValues.About about = StoredValues.readAbout(in);
            int count = in.readInt();
            Task.Stage stage = task.stage("taking " + map.name(), (long) count * height);
            List<BakedTile> tiles = new ArrayList<>();
            for (int i = 0; i < count; i++) {
                UvTile tile = UvTile.of(in.readInt());
                Mask covered = StoredValues.readMask(width, height, in);
                Mask hit = StoredValues.readMask(width, height, in);
                Mask full = StoredValues.readMask(width, height, in);
                Optional<FloatImage> causes = in.readBoolean()
                        ? Optional.of(StoredValues.fill(MissLog.image(width, height, task.memory()), null, in))
                        : Optional.empty();
                FloatImage image = StoredValues.fill(FloatImage.create(width, height, about.encoding(), task.memory()), stage, in);
                tiles.add(new BakedTile(tile, List.of(about.map(map.name(), image)), covered, hit, full, causes));
            }
            return new BakeResult(job.withMaps(List.of(map)), LowPoly.worn(Normals.shading(job.low())), cage, tiles, counts, List.of(),
                    noticed);
        }
    }

    /** Reads a file through and compares the sum that it ends with: what is read afterwards can be trusted. */
    private static void checkSum(Path file, Task task) throws IOException {
        long length = Files.size(file) - Long.BYTES;
        CRC32C sum = new CRC32C();
        byte[] buffer = new byte[16 * BUFFER];
        try (DataInputStream in = new DataInputStream(Files.newInputStream(file))) {
            for (long left = length; left > 0;) {
                task.check();
                int part = (int) Math.min(left, buffer.length);
                in.readFully(buffer, 0, part);
                sum.update(buffer, 0, part);
                left -= part;
            }
            if (length <= 0 || in.readLong() != sum.getValue()) {
                throw new IOException(file + " is broken: its check sum does not fit");
            }
        }
    }

    private static SurfaceMap named(BakeJob job, String map) {
        return job.maps().stream().filter(m -> m.name().equals(map)).findFirst().orElseThrow(() -> new IllegalArgumentException(
                "map = \"" + map + "\" must be one of the job's: " + job.maps().stream().map(SurfaceMap::name).toList()));
    }

    private static Optional<String> identity(SurfaceMap map) {
        return map.recipe().map(recipe -> map.getClass().getName() + ": " + recipe);
    }
}
