package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.security.MessageDigest;
import java.time.Instant;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class CacheTest {
    @TempDir
    Path folder;

    private static String key(int number) {
        return HexFormat.of().formatHex(Fingerprint.sha256().digest(new byte[] {(byte) number, (byte) (number >> 8)}));
    }

    private static void put(Cache cache, int number, int bytes) {
        byte[] content = new byte[bytes];
        Arrays.fill(content, (byte) number);
        cache.put(key(number), Task.silent(), out -> out.write(content));
    }

    private static Optional<byte[]> get(Cache cache, int number) {
        return cache.get(key(number), (in, size) -> in.readAllBytes());
    }

    private static List<Path> files(Path folder) {
        try (Stream<Path> all = Files.walk(folder)) {
            return all.filter(Files::isRegularFile).sorted().toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private Path onlyEntry() {
        return files(folder).stream().filter(f -> f.toString().endsWith(".kept")).findFirst().orElseThrow();
    }

    @Test
    void whatWasPut_isThere_inAnotherCacheOfTheFolderToo() {
        Cache cache = Cache.in(folder);
        assertThat(get(cache, 1)).isEmpty();
        put(cache, 1, 1000);
        assertThat(get(cache, 1).orElseThrow()).hasSize(1000).containsOnly(1);
        assertThat(get(Cache.in(folder), 1)).isPresent();
        assertThat(cache.count()).isEqualTo(1);
        assertThat(cache.size()).isBetween(1000L, 1100L); // a head and a check sum more
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(cache.misses()).isEqualTo(1);
        assertThat(cache.trouble()).isEmpty();
    }

    @Test
    void anyChangedByte_isFoundOut_andTheEntryGoes() throws IOException {
        for (int at : new int[] {0, 5, 20, 500, 1010, 1020}) {
            Cache cache = Cache.in(folder);
            put(cache, 1, 1000);
            Path entry = onlyEntry();
            byte[] bytes = Files.readAllBytes(entry);
            bytes[at] ^= 4;
            Files.write(entry, bytes);
            assertThat(get(cache, 1)).as("byte " + at).isEmpty();
            assertThat(cache.trouble()).isPresent();
            assertThat(entry).doesNotExist();
        }
    }

    @Test
    void entriesOfAnyOtherLength_areFoundOut() throws IOException {
        for (int length : new int[] {0, 10, 24, 700}) {
            Cache cache = Cache.in(folder);
            put(cache, 1, 1000);
            Path entry = onlyEntry();
            Files.write(entry, Arrays.copyOf(Files.readAllBytes(entry), length));
            assertThat(get(cache, 1)).as("length " + length).isEmpty();
        }
    }

    @Test
    void readerThatFails_losesTheEntry() {
        Cache cache = Cache.in(folder);
        put(cache, 1, 1000);
        assertThat(cache.get(key(1), (in, size) -> {
            throw new IllegalArgumentException("no mesh");
        })).isEmpty();
        assertThat(get(cache, 1)).isEmpty();
    }

    @Test
    void limit_isKept_andWhatWasNotUsedForLongestGoes() throws IOException {
        Cache cache = Cache.in(folder).withLimit(3500);
        for (int i = 1; i <= 3; i++) {
            put(cache, i, 1000);
        }
        Instant longAgo = Instant.parse("2020-01-01T00:00:00Z");
        int second = 0;
        for (int i : new int[] {1, 2, 3}) {
            Path entry = folder.resolve(key(i).substring(0, 2)).resolve(key(i) + ".kept");
            Files.setLastModifiedTime(entry, FileTime.from(longAgo.plusSeconds(second++)));
        }
        assertThat(get(cache, 1)).isPresent(); // used now: 2 is the oldest
        put(cache, 4, 1000);
        assertThat(cache.size()).isLessThanOrEqualTo(3500);
        assertThat(get(cache, 2)).isEmpty();
        assertThat(get(cache, 1)).isPresent();
        assertThat(get(cache, 3)).isPresent();
        assertThat(get(cache, 4)).isPresent();
    }

    @Test
    void limitOfZero_keepsNothing() {
        Cache cache = Cache.in(folder).withLimit(0);
        put(cache, 1, 10);
        assertThat(get(cache, 1)).isEmpty();
        assertThatThrownBy(() -> cache.withLimit(-1)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("-1");
    }

    @Test
    void clear_deletesOnlyWhatIsItsOwn() throws IOException {
        Cache cache = Cache.in(folder);
        put(cache, 1, 1000);
        List<Path> others = List.of(folder.resolve("letter.txt"), folder.resolve("ab").resolve("picture.kept"),
                folder.resolve("sub").resolve(key(1) + ".kept"), folder.resolve("ab").resolve(key(1) + ".png"));
        for (Path other : others) {
            Files.createDirectories(other.getParent());
            Files.writeString(other, "mine");
        }
        cache.clear();
        assertThat(cache.count()).isZero();
        assertThat(get(cache, 1)).isEmpty();
        assertThat(others).allSatisfy(other -> assertThat(other).hasContent("mine"));
    }

    @Test
    void halfWrittenEntriesOfEndedProcesses_goLater_andYoungOnesStay() throws IOException {
        Cache cache = Cache.in(folder);
        Path shelf = Files.createDirectories(folder.resolve("ab"));
        Path old = Files.writeString(shelf.resolve("." + key(7) + ".kept.1-1.part"), "half");
        Path young = Files.writeString(shelf.resolve("." + key(8) + ".kept.2-1.part"), "half");
        Files.setLastModifiedTime(old, FileTime.from(Instant.now().minusSeconds(7200)));
        put(cache, 1, 10);
        assertThat(old).doesNotExist();
        assertThat(young).exists();
    }

    /** The tag's signature is the MD5 of a text that its specification names: Bryan Ford, Cache Directory Tagging Specification, 0.6, 2004. */
    @Test
    void folder_tellsBackupPrograms() throws Exception {
        put(Cache.in(folder), 1, 10);
        String signature = HexFormat.of()
                .formatHex(MessageDigest.getInstance("MD5").digest(".IsCacheDirectory".getBytes(StandardCharsets.US_ASCII)));
        assertThat(folder.resolve("CACHEDIR.TAG")).content().startsWith("Signature: " + signature + "\n");
    }

    @Test
    void folderThatIsAFile_stopsNothing_andIsSaid() throws IOException {
        Path file = Files.writeString(folder.resolve("file"), "text");
        Cache cache = Cache.in(file);
        put(cache, 1, 10);
        assertThat(cache.trouble()).hasValueSatisfying(text -> assertThat(text).contains(file.toString()));
        assertThat(get(cache, 1)).isEmpty();
        assertThat(file).hasContent("text");
    }

    @Test
    void usualFolder_isWhereThePlatformWantsIt() {
        Path home = Path.of("/home/mason");
        assertThat(Cache.usualFolder(name -> null, home, false)).isEqualTo(Path.of("/home/mason/.cache/estampage"));
        assertThat(Cache.usualFolder(Map.of("XDG_CACHE_HOME", "/scratch")::get, home, false)).isEqualTo(Path.of("/scratch/estampage"));
        assertThat(Cache.usualFolder(Map.of("XDG_CACHE_HOME", "scratch")::get, home, false))
                .isEqualTo(Path.of("/home/mason/.cache/estampage"));
        assertThat(Cache.usualFolder(name -> null, home, true)).isEqualTo(Path.of("/home/mason/AppData/Local/estampage/cache"));
    }

    /** Writes and reads the same keys as fast as it can for a while; in a process of its own. */
    static final class Churn {
        private Churn() {
        }

        @SuppressWarnings("SystemOut") // what it prints goes to the test that started it
        public static void main(String[] arguments) {
            Cache cache = Cache.in(Path.of(arguments[0])).withLimit(200_000);
            long end = System.nanoTime() + TimeUnit.MILLISECONDS.toNanos(Long.parseLong(arguments[1]));
            int found = 0;
            for (int i = 0; System.nanoTime() < end; i = (i + 1) % 30) {
                Optional<byte[]> there = get(cache, i);
                if (there.isPresent()) {
                    for (byte each : there.get()) {
                        if (each != (byte) i || there.get().length != 10_000) {
                            throw new AssertionError("entry " + i + " holds something else");
                        }
                    }
                    found++;
                } else {
                    put(cache, i, 10_000);
                }
            }
            if (cache.trouble().isPresent()) {
                throw new AssertionError(cache.trouble().get());
            }
            System.out.println(found);
        }
    }

    private Process churn(int milliseconds) throws IOException {
        return new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-Xshare:auto",
                "-XX:TieredStopAtLevel=1", "-cp",
                classPath(), Churn.class.getName(), folder.toString(), Integer.toString(milliseconds)).redirectErrorStream(true).start();
    }

    /** Returns where the classes of engine and test are, on the module path too. */
    private static String classPath() {
        return String.join(java.io.File.pathSeparator, Stream.of(CacheTest.class, Cache.class, Task.class, org.joml.Vector3f.class)
                .map(type -> type.getResource("/" + type.getName().replace('.', '/') + ".class")).map(String::valueOf)
                .map(url -> url.startsWith("jar:")
                        ? url.substring("jar:".length(), url.indexOf('!'))
                        : url.substring(0, url.indexOf("/org/estampage/")))
                .map(url -> Path.of(java.net.URI.create(url)).toString()).distinct().toList());
    }

    @Test
    void twoProcessesAtOnce_neverReadAnythingElse() throws Exception {
        Process one = churn(700), two = churn(700);
        for (Process each : List.of(one, two)) {
            String said = said(each);
            assertThat(each.waitFor()).as(said).isZero();
            assertThat(Integer.parseInt(said.strip())).isPositive();
        }
        // The last one to keep something may have listed the folder before the other's last entry was there: one more at most.
        assertThat(Cache.in(folder).size()).isLessThanOrEqualTo(200_000 + 11_000);
    }

    @Test
    void killedInTheMiddle_leavesAUsableCache() throws Exception {
        Process killed = churn(60_000);
        long limit = System.nanoTime() + TimeUnit.SECONDS.toNanos(30);
        while (Cache.in(folder).count() < 5 && System.nanoTime() < limit) {
            Thread.sleep(5);
        }
        killed.destroyForcibly().waitFor();
        Cache cache = Cache.in(folder);
        assertThat(cache.count()).isPositive();
        for (int i = 0; i < 30; i++) {
            int number = i;
            get(cache, i).ifPresent(bytes -> assertThat(bytes).hasSize(10_000).containsOnly(number));
        }
        assertThat(cache.trouble()).isEmpty();
    }

    private static String said(Process process) throws IOException {
        try (InputStream in = process.getInputStream()) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        }
    }
}
