package org.estampage.examples.editor.model;

import java.time.Duration;
import java.util.function.Consumer;
import javax.swing.Timer;
import org.estampage.task.Progress;
import org.jspecify.annotations.Nullable;

/** The long work that the user starts and waits for: opening, baking, saving. There is one at a time. */
public final class Jobs {
    /** Often enough to look smooth, seldom enough to cost nothing. */
    private static final int REPORT_MILLIS = 80;
    /** Before this much of a stage is done, a guess of its end says nothing. */
    private static final double LEAST_PART = 0.02;

    /**
     * How far the running job is.
     *
     * @param title    what it is
     * @param stage    what it does now; empty at first
     * @param part     how much of the stage is done, 0 … 1; NaN when unknown
     * @param left     the time that the stage will take at its pace; null when unknown
     * @param stopping whether it was asked to stop
     */
    public record Running(String title, String stage, double part, @Nullable Duration left, boolean stopping) {
    }

    /**
     * What a worker last said.
     *
     * @param name  the stage
     * @param done  units done
     * @param total units in all, or −1
     */
    private record Said(String name, long done, long total) {
    }

    private final Lane lane = new Lane("editor jobs");
    private final Value<@Nullable Running> running = new Value<>(null);
    private final Value<@Nullable Notice> notice = new Value<>(null);
    private final Timer timer = new Timer(REPORT_MILLIS, event -> look());
    private volatile @Nullable Said said;
    private String stage = "";
    private long stageStart;

    /** Makes the list of no work. */
    Jobs() {
    }

    /** Returns the job that runs, or null. */
    public Value<@Nullable Running> running() {
        return running;
    }

    /** Returns what the user was told last, or null once it was read. */
    public Value<@Nullable Notice> notice() {
        return notice;
    }

    /** Returns whether a new job would be refused. */
    public boolean isBusy() {
        return running.get() != null;
    }

    /**
     * Starts a job. While one runs, another is refused, and the user is told so.
     *
     * @param done takes the result, on the event dispatch thread
     * @return whether it was started
     */
    public <T> boolean start(String title, Work<T> work, Consumer<? super T> done) {
        Running before = running.get();
        if (before != null) {
            notice.set(Notice.problem(title + " has to wait", before.title() + " is still going on: let it end, or cancel it"));
            return false;
        }
        notice.set(null);
        said = null;
        stage = "";
        running.set(new Running(title, "", Double.NaN, null, false));
        timer.start();
        Progress progress = (name, units, total) -> said = new Said(name, units, total);
        lane.run(work, progress, new Outcome<>(given -> {
            end();
            done.accept(given);
        }, failure -> {
            end();
            notice.set(failure);
        }, () -> {
            end();
            notice.set(Notice.done(title + " was cancelled", "Everything is as it was before."));
        }));
        return true;
    }

    /** Asks the running job to stop; harmless when there is none. */
    public void cancel() {
        lane.cancel();
        Running now = running.get();
        if (now != null) {
            running.set(new Running(now.title(), "stopping", Double.NaN, null, true));
        }
    }

    private void end() {
        timer.stop();
        running.set(null);
    }

    private void look() {
        Running now = running.get();
        Said last = said;
        if (now == null || now.stopping() || last == null) {
            return;
        }
        long time = System.nanoTime();
        if (!last.name.equals(stage)) {
            stage = last.name;
            stageStart = time;
        }
        double part = last.total > 0 ? Math.min(1, (double) last.done / last.total) : Double.NaN;
        Duration left = part >= LEAST_PART ? Duration.ofNanos((long) ((time - stageStart) * (1 - part) / part)) : null;
        running.set(new Running(now.title(), stage, part, left, false));
    }
}
