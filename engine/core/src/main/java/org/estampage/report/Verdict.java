package org.estampage.report;

import java.util.Locale;
import org.estampage.bake.BakeResult;
import org.estampage.finding.Severity;

/**
 * What a bake's findings and misses come to, in plain words.
 *
 * @param level  of the worst
 * @param head   in a few words
 * @param reason in a sentence
 * @threads immutable
 */
record Verdict(Severity level, String head, String reason) {
    static Verdict of(BakeResult result) {
        long errors = result.findings().stream().filter(f -> f.severity() == Severity.ERROR).count();
        long warnings = result.findings().stream().filter(f -> f.severity() == Severity.WARNING).count();
        String missed = missed(result);
        if (errors > 0) {
            return new Verdict(Severity.ERROR, "Not fit to deliver",
                    kinds(errors, "error") + (warnings > 0 ? " and " + kinds(warnings, "warning") : "") + " below say what is wrong. "
                            + missed);
        }
        if (warnings > 0) {
            return new Verdict(Severity.WARNING, "Look before you deliver", kinds(warnings, "warning") + " below want"
                    + (warnings == 1 ? "s" : "") + " a decision of yours. " + missed);
        }
        return new Verdict(Severity.NOTE, "Nothing found against it", missed);
    }

    private static String missed(BakeResult result) {
        if (result.missedCount() == 0) {
            return "Every covered texel met the high poly.";
        }
        double part = 100.0 * result.missedCount() / Math.max(1, result.coveredCount());
        return String.format(Locale.ROOT, "%,d of %,d covered texels met nothing of the high poly, %s %%.", result.missedCount(),
                result.coveredCount(), part < 0.01 ? "less than 0.01" : String.format(Locale.ROOT, "%.2f", part));
    }

    private static String kinds(long count, String what) {
        return count == 1 ? "One " + what : count + " " + what + "s";
    }
}
