package org.estampage.session;

import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileTime;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CancellationException;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.UnaryOperator;
import java.util.regex.Pattern;
import java.util.zip.CRC32C;
import java.util.zip.CheckedInputStream;
import java.util.zip.CheckedOutputStream;
import org.estampage.io.format.AtomicFile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A folder of values by their keys, which keeps to a limit: those that were not used for longest go first.
 *
 * <p>An entry appears whole or not at all. One that is broken is thrown away, and its value is worked out anew. Several processes may use one folder at once;
 * none waits for another. Only files that such a cache has written are ever deleted, whatever else lies in the folder.
 *
 * <p>A cache that can't be read or written never stops the work: {@link #trouble} says what went wrong.
 *
 * @threads safe for concurrent calls, of several processes too
 */
public final class Cache {
    /** The limit where none is set: 8 GiB. */
    public static final long USUAL_LIMIT = 8L << 30;

    private static final String ENDING = ".kept";
    /** What our own files are called, and what those are called that a process left half written. */
    private static final Pattern ENTRY = Pattern.compile("[0-9a-f]{64}\\.kept");
    private static final Pattern HALF = Pattern.compile("\\.[0-9a-f]{64}\\.kept\\..*\\.part");
    private static final Pattern SHELF = Pattern.compile("[0-9a-f]{2}");
    /** Longer than any entry takes to be written, so that what is older was left by a process that ended. */
    private static final Duration HALF_WRITTEN = Duration.ofHours(1);
    /** A key's first digits name its folder, so that no folder holds very many files. */
    private static final int SHELF_DIGITS = 2;
    private static final byte[] HEAD = "estampage kept 1\n".getBytes(StandardCharsets.US_ASCII);
    /** What tells backup programs that a folder can be made again, see the source. */
    private static final String TAG = """
            Signature: 8a477f597d28d172789f06886806bc55
            # This folder holds values that Estampage can work out again. It may be deleted at any time.
            # For information about cache directory tags see https://bford.info/cachedir/
            """;

    private final Path folder;
    private final long limit;
    private final AtomicLong hits;
    private final AtomicLong misses;
    private volatile @Nullable String trouble;

    private Cache(Path folder, long limit, AtomicLong hits, AtomicLong misses) {
        this.folder = folder;
        this.limit = limit;
        this.hits = hits;
        this.misses = misses;
    }

    /** Returns the cache in a folder, with the usual limit. The folder is made when the first value is kept. */
    public static Cache in(Path folder) {
        return new Cache(folder.toAbsolutePath().normalize(), USUAL_LIMIT, new AtomicLong(), new AtomicLong());
    }

    /**
     * Returns this cache, with its counts so far, with another limit; what is too much goes when the next value is kept.
     *
     * @param bytes what all entries may take together
     * @throws IllegalArgumentException if it is below 0
     */
    public Cache withLimit(long bytes) {
        if (bytes < 0) {
            throw new IllegalArgumentException("bytes = " + bytes + " must be at least 0");
        }
        return new Cache(folder, bytes, hits, misses);
    }

    /**
     * Returns where a user's cache belongs: on Windows {@code estampage\\cache} in what {@code LOCALAPPDATA} names, elsewhere {@code estampage} in what
     * {@code XDG_CACHE_HOME} names or in {@code .cache} of the user's own folder.
     *
     * @param environment gives a variable of the environment, null where there is none
     * @param home        the user's own folder
     * @param windows     whether this is Windows
     * @source freedesktop.org, XDG Base Directory Specification, version 0.8, 2021: a relative path is not valid and is left out
     */
    public static Path usualFolder(UnaryOperator<@Nullable String> environment, Path home, boolean windows) {
        String named = environment.apply(windows ? "LOCALAPPDATA" : "XDG_CACHE_HOME");
        Path given = named == null || named.isBlank() ? null : Path.of(named);
        if (given == null || !given.isAbsolute()) {
            given = windows ? home.resolve("AppData").resolve("Local") : home.resolve(".cache");
        }
        return windows ? given.resolve("estampage").resolve("cache") : given.resolve("estampage");
    }

    /** Returns where this user's cache belongs. */
    public static Path usualFolder() {
        return usualFolder(System::getenv, Path.of(System.getProperty("user.home", "")),
                System.getProperty("os.name", "").toLowerCase(Locale.ROOT).startsWith("windows"));
    }

    /** Returns the folder. */
    public Path folder() {
        return folder;
    }

    /** Returns what all entries may take together, in bytes. */
    public long limit() {
        return limit;
    }

    /** Returns how many values were asked for and there. */
    public long hits() {
        return hits.get();
    }

    /** Returns how many values were asked for and not there. */
    public long misses() {
        return misses.get();
    }

    /** Returns what last went wrong with the folder, in words; empty where all is well. */
    public Optional<String> trouble() {
        return Optional.ofNullable(trouble);
    }

    /** Returns what the entries take together, in bytes. */
    public long size() {
        return entries().stream().mapToLong(Entry::bytes).sum();
    }

    /** Returns how many entries there are. */
    public int count() {
        return entries().size();
    }

    /** Deletes all entries, and what processes left half written. Nothing else in the folder is touched. */
    public void clear() {
        entries().forEach(entry -> delete(entry.file));
        halves(Instant.MAX).forEach(this::delete);
    }

    /** Reads an entry. */
    interface Reading<T> {
        T from(InputStream in, long size) throws IOException;
    }

    /** Writes an entry. */
    interface Writing {
        void to(OutputStream out) throws IOException;
    }

    /** Returns what is kept under a key; empty where nothing is, or what is there is broken. */
    <T> Optional<T> get(String key, Reading<T> reading) {
        Path file = file(key);
        try {
            Optional<T> value = read(file, reading);
            hits.incrementAndGet();
            touch(file);
            return value;
        } catch (NoSuchFileException e) {
            misses.incrementAndGet();
            return Optional.empty();
        } catch (IOException | RuntimeException e) { // broken in whatever way: bytes that are no mesh are refused by the mesh
            misses.incrementAndGet();
            trouble = "an entry was broken and is worked out anew: " + e.getMessage();
            delete(file);
            return Optional.empty();
        }
    }

    private static <T> Optional<T> read(Path file, Reading<T> reading) throws IOException {
        long size = Files.size(file) - HEAD.length - Long.BYTES;
        try (InputStream raw = Files.newInputStream(file)) {
            if (size < 0 || !java.util.Arrays.equals(raw.readNBytes(HEAD.length), HEAD)) {
                throw new EOFException("it is no entry");
            }
            CRC32C sum = new CRC32C();
            CheckedInputStream in = new CheckedInputStream(new Bounded(raw, size), sum);
            T value = reading.from(in, size);
            in.transferTo(OutputStream.nullOutputStream());
            byte[] tail = raw.readNBytes(Long.BYTES);
            if (tail.length < Long.BYTES || ByteBuffer.wrap(tail).getLong() != sum.getValue()) {
                throw new IOException("its check sum is another one");
            }
            return Optional.of(value);
        }
    }

    /** Keeps a value under a key, and lets others go where there are too many. */
    void put(String key, Task task, Writing writing) {
        try {
            tag();
            AtomicFile.write(file(key), task, out -> {
                CRC32C sum = new CRC32C();
                out.write(HEAD);
                CheckedOutputStream checked = new CheckedOutputStream(out, sum);
                writing.to(checked);
                checked.flush();
                out.write(ByteBuffer.allocate(Long.BYTES).putLong(sum.getValue()).array());
            });
            keepToLimit();
        } catch (IOException | UncheckedIOException e) {
            trouble = "a value could not be kept in " + folder + ": " + e.getMessage();
        }
    }

    /** Reads a file. */
    interface FileReading<T> {
        T from(Path file) throws IOException;
    }

    /** Writes a file. */
    interface FileWriting {
        void to(Path file) throws IOException;
    }

    /** Returns what is kept under a key by {@link #putFile}; empty where nothing is, or what is there is broken. */
    <T> Optional<T> getFile(String key, FileReading<T> reading) {
        Path file = file(key);
        if (!Files.exists(file)) {
            misses.incrementAndGet();
            return Optional.empty();
        }
        try {
            T value = reading.from(file);
            hits.incrementAndGet();
            touch(file);
            return Optional.of(value);
        } catch (CancellationException e) {
            throw e;
        } catch (IOException | RuntimeException e) { // broken in whatever way, or another process has let it go meanwhile
            misses.incrementAndGet();
            trouble = "an entry was broken and is worked out anew: " + e.getMessage();
            delete(file);
            return Optional.empty();
        }
    }

    /** Keeps a value under a key as a file that says itself whether it is whole. */
    void putFile(String key, FileWriting writing) {
        Path file = file(key);
        Path half = file.resolveSibling(
                "." + file.getFileName() + "." + ProcessHandle.current().pid() + "-" + Thread.currentThread().threadId() + ".part");
        try {
            tag();
            Files.createDirectories(Objects.requireNonNull(file.getParent()));
            writing.to(half);
            Files.move(half, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
            keepToLimit();
        } catch (IOException | UncheckedIOException e) {
            trouble = "a value could not be kept in " + folder + ": " + e.getMessage();
        } finally {
            if (Files.exists(half)) {
                delete(half);
            }
        }
    }

    private void tag() throws IOException {
        Path tag = folder.resolve("CACHEDIR.TAG");
        if (!Files.exists(tag)) {
            AtomicFile.write(tag, Task.silent(), out -> out.write(TAG.getBytes(StandardCharsets.US_ASCII)));
        }
    }

    private Path file(String key) {
        return folder.resolve(key.substring(0, SHELF_DIGITS)).resolve(key + ENDING);
    }

    private static void touch(Path file) {
        try {
            Files.setLastModifiedTime(file, FileTime.from(Instant.now()));
        } catch (IOException e) { // another process has let it go meanwhile, or we may not write: then it looks older than it is
        }
    }

    private void delete(Path file) {
        try {
            Files.deleteIfExists(file);
        } catch (IOException e) { // on some systems a file can't be deleted while another process reads it
            trouble = "an entry could not be deleted: " + e.getMessage();
        }
    }

    private record Entry(Path file, long bytes, FileTime used) {
    }

    /** Lets the entries go that were not used for longest, until the rest keeps to the limit. */
    private void keepToLimit() {
        List<Entry> entries = new ArrayList<>(entries());
        long bytes = entries.stream().mapToLong(Entry::bytes).sum();
        if (bytes > limit) {
            entries.sort(Comparator.comparing(Entry::used).thenComparing(Entry::file));
            for (Entry entry : entries) {
                if (bytes <= limit) {
                    break;
                }
                delete(entry.file);
                bytes -= entry.bytes;
            }
        }
        halves(Instant.now().minus(HALF_WRITTEN)).forEach(this::delete);
    }

    private List<Entry> entries() {
        List<Entry> entries = new ArrayList<>();
        each(ENTRY, (file, attributes) -> entries.add(new Entry(file, attributes.size(), attributes.lastModifiedTime())));
        return entries;
    }

    private List<Path> halves(Instant before) {
        List<Path> halves = new ArrayList<>();
        each(HALF, (file, attributes) -> {
            if (attributes.lastModifiedTime().toInstant().isBefore(before)) {
                halves.add(file);
            }
        });
        return halves;
    }

    private interface Visit {
        void at(Path file, BasicFileAttributes attributes);
    }

    private void each(Pattern name, Visit visit) {
        try (DirectoryStream<Path> shelves = Files.newDirectoryStream(folder, path -> matches(SHELF, path) && Files.isDirectory(path))) {
            for (Path shelf : shelves) {
                try (DirectoryStream<Path> files = Files.newDirectoryStream(shelf, path -> matches(name, path))) {
                    for (Path file : files) {
                        visit(file, visit);
                    }
                }
            }
        } catch (NoSuchFileException e) { // nothing was kept yet
        } catch (IOException | java.nio.file.DirectoryIteratorException e) {
            trouble = "the folder " + folder + " could not be read: " + e.getMessage();
        }
    }

    private static void visit(Path file, Visit visit) throws IOException {
        try {
            visit.at(file, Files.readAttributes(file, BasicFileAttributes.class));
        } catch (NoSuchFileException e) { // another process has let it go meanwhile
        }
    }

    private static boolean matches(Pattern name, Path path) {
        return name.matcher(Objects.requireNonNull(path.getFileName()).toString()).matches();
    }

    /** A stream that ends after so many bytes and leaves the one below open. */
    private static final class Bounded extends InputStream {
        private final InputStream in;
        private long left;

        Bounded(InputStream in, long size) {
            this.in = in;
            this.left = size;
        }

        @Override
        public int read() throws IOException {
            int value = left > 0 ? in.read() : -1;
            left -= value < 0 ? 0 : 1;
            return value;
        }

        @Override
        public int read(byte[] dest, int from, int length) throws IOException {
            if (left <= 0) {
                return length == 0 ? 0 : -1;
            }
            int read = in.read(dest, from, (int) Math.min(length, left));
            left -= Math.max(0, read);
            return read;
        }
    }

    @Override
    public String toString() {
        return String.format(Locale.ROOT, "%s: %,d entries, %.2f of %.2f GiB; %d values kept from before, %d worked out", folder, count(),
                size() / (double) (1 << 30), limit / (double) (1 << 30), hits(), misses());
    }
}
