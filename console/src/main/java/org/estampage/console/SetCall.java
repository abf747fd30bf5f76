package org.estampage.console;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import org.estampage.session.Asset;
import org.estampage.session.AssetSet;
import org.estampage.session.SetReport;

/**
 * A set of assets; {@link #each} works on them one after the other. Within a script what is finished and has not changed is passed over: the asset's files,
 * its row, the script and its arguments.
 *
 * @threads confined
 */
public final class SetCall {
    private final Session session;
    private final Path place;
    private AssetSet set;

    SetCall(Session session, Path place) throws IOException {
        this.session = session;
        this.place = place;
        this.set = Files.isDirectory(place) ? AssetSet.ofFolder(place) : AssetSet.ofTable(place);
        session.scriptPrint().ifPresent(set::version);
    }

    /**
     * Sets the ends of a pair's names in a folder; {@code -low} and {@code -high} by default. To be called before other options.
     *
     * @throws IllegalStateException if the set is a table, which names its files
     * @throws IOException           as {@link AssetSet#ofFolder(Path, String, String)}
     */
    public SetCall ends(String low, String high) throws IOException {
        if (!Files.isDirectory(place)) {
            throw new IllegalStateException("ends has no effect on a table: it names its files");
        }
        set = AssetSet.ofFolder(place, low, high);
        session.scriptPrint().ifPresent(set::version);
        return this;
    }

    /** Sets the file that says what is finished. */
    public SetCall state(String path) {
        set.state(session.resolve(path));
        return this;
    }

    /** Sets a text that changes with the work, in place of the script's own: at the prompt nothing is passed over without one. */
    public SetCall version(String text) {
        set.version(text);
        return this;
    }

    /** Works on all assets anew. */
    public SetCall again() {
        set.again();
        return this;
    }

    /** Returns the assets, to see what would be worked on. */
    public List<Asset> list() {
        return set.assets();
    }

    /**
     * Works on each asset and prints what became of it, and a table at the end. A failure does not stop the others; a script with one ends with exit code 1.
     *
     * @param work bakes one asset: {@code asset -> bake(load(asset.low()), load(asset.high())).run()}; it saves what it wants
     * @throws IOException if the file that says what is finished can't be read or written
     */
    public SetReport each(AssetSet.Work work) throws IOException {
        PrintStream out = session.out();
        int count = set.assets().size();
        int[] number = new int[1];
        SetReport report = set.run(work, session::takeWritten,
                row -> out.println(String.format(Locale.ROOT, "%d of %d  %s: %s, %.1f s%s", ++number[0], count,
                        row.asset(), row.status().name().toLowerCase(Locale.ROOT), row.seconds(),
                        row.error().isEmpty() ? "" : ": " + row.error())),
                session.task());
        out.println(report);
        if (report.hasFailures()) {
            session.fail();
        }
        return report;
    }

    @Override
    public String toString() {
        return set.assets().size() + " assets: each(asset -> …) works on them";
    }
}
