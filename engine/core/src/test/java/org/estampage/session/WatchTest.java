package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.SortedSet;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.Semaphore;
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

    private static final long REST_MILLISECONDS = 150;
    private static final Duration HALF_A_SECOND = Duration.ofMillis(500);

    @TempDir
    Path folder;
    private final Cancellation cancellation = new Cancellation();
    private final BlockingQueue<SortedSet<Path>> heard = new LinkedBlockingQueue<>();
    private final BlockingQueue<Exception> troubles = new LinkedBlockingQueue<>();
    /** One for each time that the watch began to wait: after its first look, and after each answer. */
    private final Semaphore waits = new Semaphore(0);
    private @Nullable Thread thread;

    private void start(boolean byLooking, Watch.Action action, Path... places) throws Exception {
        Watch watch = Watch.over(places).rest(Duration.ofMillis(REST_MILLISECONDS)).look(Duration.ofMillis(100));
        if (byLooking) {
            watch.byLooking();
        }
        watch.waits(waits::release);
        thread = Thread.ofPlatform().daemon().start(() -> {
            try {
                watch.run(changed -> {
                    waits.drainPermits();
                    heard.add(changed);
                    action.changed(changed);
                }, troubles::add, cancellation);
            } catch (java.io.IOException e) {
                troubles.add(e);
            }
        });
        assertThat(waits.tryAcquire(LONG_SECONDS, TimeUnit.SECONDS)).as("what was there has been looked at").isTrue();
    }

    @AfterEach
    void end() throws InterruptedException {
        cancellation.cancel();
        if (thread != null) {
            thread.join(TimeUnit.SECONDS.toMillis(LONG_SECONDS));
            assertThat(thread.isAlive()).isFalse();
        }
    }

    /** Waits for an answer and until the watch waits again: what is written after that is nothing that the action made. */
    private SortedSet<Path> next() throws InterruptedException {
        SortedSet<Path> changed = heard.poll(LONG_SECONDS, TimeUnit.SECONDS);
        assertThat(changed).as("a change that was noticed").isNotNull();
        assertThat(waits.tryAcquire(LONG_SECONDS, TimeUnit.SECONDS)).as("the answer has ended").isTrue();
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
        BlockingQueue<Long> seen = new LinkedBlockingQueue<>();
        start(false, changed -> seen.add(Files.size(file)), file);
        // A machine that leaves the writer waiting for longer than a rest has shown nothing: then it writes once more.
        long longest = Long.MAX_VALUE;
        for (int i = 0; i < 20 && longest > REST_MILLISECONDS; i++) {
            seen.clear();
            longest = grow(file, (byte) i);
            if (longest <= REST_MILLISECONDS) {
                next();
                assertQuiet();
            } else {
                letItRest();
            }
        }
        assertThat(longest).as("longest pause of the writer, in ms").isLessThanOrEqualTo(REST_MILLISECONDS);
        assertThat(seen).containsExactly(1200L);
    }

    private void letItRest() throws InterruptedException {
        do {
            heard.clear();
        } while (heard.poll(2 * QUIET_MILLISECONDS, TimeUnit.MILLISECONDS) != null);
    }

    /** Writes a file in steps, with pauses shorter than the rest that a written file has; returns the longest time between two, in ms, rounded up. */
    private static long grow(Path file, byte filling) throws Exception {
        byte[] step = new byte[100];
        Arrays.fill(step, filling);
        long longest = 0;
        long last = System.nanoTime();
        try (OutputStream out = Files.newOutputStream(file)) {
            for (int i = 0; i < 12; i++) {
                out.write(step);
                out.flush();
                longest = Math.max(longest, System.nanoTime() - last);
                last = System.nanoTime();
                Thread.sleep(40);
            }
        }
        return TimeUnit.NANOSECONDS.toMillis(longest) + 1;
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
        Duration quickest = Duration.ofDays(1);
        for (int i = 0; i < 5 && quickest.compareTo(HALF_A_SECOND) >= 0; i++) { // a busy machine gets more tries
            Cancellation stop = new Cancellation();
            Semaphore ready = new Semaphore(0);
            Thread watching = Thread.ofPlatform().daemon().start(() -> {
                try {
                    Watch.over(folder).waits(ready::release).run(changed -> {
                    }, troubles::add, stop);
                } catch (java.io.IOException e) {
                    troubles.add(e);
                }
            });
            ready.acquire();
            long start = System.nanoTime();
            stop.cancel();
            watching.join();
            Duration took = Duration.ofNanos(System.nanoTime() - start);
            quickest = took.compareTo(quickest) < 0 ? took : quickest;
        }
        assertThat(quickest).isLessThan(HALF_A_SECOND);
        assertThat(troubles).isEmpty();
    }

    @Test
    void fileWrittenTwice_withinATickOfTheClock_isAnswered() throws Exception {
        Path file = Files.writeString(folder.resolve("bollard.obj"), "one");
        FileTime time = FileTime.from(Instant.now().plusSeconds(60)); // new to a watch that begins at any time of this test
        Files.setLastModifiedTime(file, time);
        start(true, changed -> {
        }, file);
        Files.writeString(file, "two"); // as long as before
        Files.setLastModifiedTime(file, time);
        assertThat(next()).containsExactly(file);
    }

    @Test
    void nonsense_isRefused() {
        assertThatThrownBy(Watch::over).isInstanceOf(IllegalArgumentException.class);
        assertThatThrownBy(() -> Watch.over(folder).look(Duration.ZERO)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("look");
        assertThatThrownBy(() -> Watch.over(folder).rest(Duration.ofSeconds(-1))).isInstanceOf(IllegalArgumentException.class);
    }
}
