package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Duration;
import java.time.Instant;
import java.util.SortedSet;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import org.estampage.task.Cancellation;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class WatchTest {
    /** Far more than a loaded machine needs; a test that passes doesn't wait for it. */
    private static final long LONG_SECONDS = 20;
    /** Longer than rest and look together: what has not come by then was not taken for a change. */
    private static final long QUIET_MILLISECONDS = 600;

    @TempDir
    Path folder;
    private final Cancellation cancellation = new Cancellation();
    private final BlockingQueue<SortedSet<Path>> heard = new LinkedBlockingQueue<>();
    private final BlockingQueue<Exception> troubles = new LinkedBlockingQueue<>();
    private @Nullable Thread thread;

    private void start(boolean byLooking, Watch.Action action, Path... places) throws Exception {
        Watch watch = Watch.over(places).rest(Duration.ofMillis(150)).look(Duration.ofMillis(100));
        if (byLooking) {
            watch.byLooking();
        }
        thread = Thread.ofPlatform().daemon().start(() -> {
            try {
                watch.run(changed -> {
                    heard.add(changed);
                    action.changed(changed);
                }, troubles::add, cancellation);
            } catch (java.io.IOException e) {
                troubles.add(e);
            }
        });
        Thread.sleep(400); // what was there is looked at first
    }

    @AfterEach
    void end() throws InterruptedException {
        cancellation.cancel();
        if (thread != null) {
            thread.join(TimeUnit.SECONDS.toMillis(LONG_SECONDS));
            assertThat(thread.isAlive()).isFalse();
        }
    }

    private SortedSet<Path> next() throws InterruptedException {
        SortedSet<Path> changed = heard.poll(LONG_SECONDS, TimeUnit.SECONDS);
        assertThat(changed).as("a change that was noticed").isNotNull();
        return java.util.Objects.requireNonNull(changed);
    }

    private void assertQuiet() throws InterruptedException {
        assertThat(heard.poll(QUIET_MILLISECONDS, TimeUnit.MILLISECONDS)).isNull();
    }

    @ParameterizedTest
    @ValueSource(booleans = {false, true})
    void changedFile_isAnswered_touchedOneIsNot(boolean byLooking) throws Exception {
        Path file = Files.writeString(folder.resolve("bollard.obj"), "one");
        start(byLooking, changed -> {
        }, file);
        Files.writeString(file, "two");
        assertThat(next()).containsExactly(file);
        Files.setLastModifiedTime(file, FileTime.from(Instant.now().plusSeconds(5)));
        assertQuiet();
        Files.writeString(folder.resolve("other.obj"), "not watched");
        assertQuiet();
    }

    @Test
    void fileThatGrows_isWaitedFor() throws Exception {
        Path file = Files.writeString(folder.resolve("bollard.obj"), "one");
        StringBuilder seen = new StringBuilder();
        start(false, changed -> seen.append(Files.size(file)), file);
        try (OutputStream out = Files.newOutputStream(file)) {
            for (int i = 0; i < 12; i++) { // pauses shorter than the rest that a written file has
                out.write(new byte[100]);
                out.flush();
                Thread.sleep(40);
            }
        }
        next();
        assertQuiet();
        assertThat(seen).hasToString("1200");
    }

    @Test
    void folder_isWatchedWithAllBelow_newAndGoneFilesToo() throws Exception {
        Path below = Files.createDirectories(folder.resolve("set/low"));
        Path file = Files.writeString(below.resolve("post.obj"), "one");
        start(false, changed -> {
        }, folder);
        Path added = Files.writeString(below.resolve("ring.obj"), "new");
        assertThat(next()).containsExactly(added);
        Path deep = Files.writeString(Files.createDirectories(folder.resolve("set/later")).resolve("cap.obj"), "deep");
        assertThat(next()).containsExactly(deep);
        Files.delete(file);
        assertThat(next()).containsExactly(file);
    }

    @Test
    void actionThatFails_isTold_andTheWatchGoesOn() throws Exception {
        Path file = Files.writeString(folder.resolve("bollard.obj"), "one");
        start(false, changed -> {
            throw new IllegalStateException("no UVs");
        }, file);
        Files.writeString(file, "two");
        next();
        assertThat(troubles.poll(LONG_SECONDS, TimeUnit.SECONDS)).hasMessage("no UVs");
        Files.writeString(file, "three");
        next();
    }

    @Test
    void whatTheActionWrites_isNoChange() throws Exception {
        Path file = Files.writeString(folder.resolve("bollard.obj"), "one");
        start(false, changed -> Files.writeString(folder.resolve("bollard-normal.png"), "map"), folder);
        Files.writeString(file, "two");
        assertThat(next()).containsExactly(file);
        assertQuiet();
        Files.writeString(file, "three");
        assertThat(next()).containsExactly(file);
    }

    @Test
    void fileThatComesLater_isAnswered() throws Exception {
        Path file = folder.resolve("later.obj");
        start(false, changed -> {
        }, file);
        Files.writeString(file, "here");
        assertThat(next()).containsExactly(file);
    }

    @Test
    void cancelling_endsItWithinHalfASecond() throws Exception {
        start(false, changed -> {
        }, folder);
        long start = System.nanoTime();
        cancellation.cancel();
        java.util.Objects.requireNonNull(thread).join();
        // 100 ms between looks; the rest of the half second is for a loaded machine.
        assertThat(Duration.ofNanos(System.nanoTime() - start)).isLessThan(Duration.ofSeconds(1));
    }

    @Test
    void nonsense_isRefused() {
        assertThatThrownBy(Watch::over).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Watch.over(folder).look(Duration.ZERO)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("look");
        assertThatThrownBy(() -> Watch.over(folder).rest(Duration.ofSeconds(-1))).isInstanceOf(IllegalArgumentException.class);
    }
}
