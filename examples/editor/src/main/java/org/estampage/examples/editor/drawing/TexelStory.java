package org.estampage.examples.editor.drawing;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.estampage.bake.BakedTile;
import org.estampage.bake.MissCause;

/**
 * What is to be told of one texel: its values, its place in UV space, what its rays met.
 *
 * @param lines a few short lines
 */
public record TexelStory(List<String> lines) {
    /** Copies the lines. */
    public TexelStory {
        lines = List.copyOf(lines);
    }

    /** Returns the story of a texel. */
    public static TexelStory of(MapSheet sheet, int x, int y) {
        List<String> lines = new ArrayList<>();
        BakedTile tile = sheet.tile();
        lines.add(String.format(Locale.ROOT, "texel %d, %d", x, y) + (sheet.result().job().isUdim() ? " of " + tile.tile() : ""));
        lines.add(String.format(Locale.ROOT, "u %.5f   v %.5f", tile.tile().column() + (x + 0.5) / sheet.width(),
                tile.tile().row() + 1 - (y + 0.5) / sheet.height()));
        for (float value : sheet.raw(x, y)) {
            lines.add(String.format(Locale.ROOT, "%s  %+.5f", "rgba".charAt(lines.size() - 2), value));
        }
        lines.addAll(fate(tile, sheet.result().job().padding() == 0, x, y));
        return new TexelStory(lines);
    }

    private static List<String> fate(BakedTile tile, boolean bare, int x, int y) {
        if (!tile.covered().get(x, y)) {
            return List.of("in no chart", bare ? "background" : "continued from the nearest chart");
        }
        int cause = tile.missCauses().map(causes -> (int) causes.get(x, y, 0)).orElse(0);
        String met = tile.hit().get(x, y) ? (cause == 0 ? "hit the high poly" : "hit, but not with all samples") : "missed the high poly";
        return cause == 0 ? List.of(met) : List.of(met, why(cause));
    }

    private static String why(int number) {
        MissCause cause = Arrays.stream(MissCause.values()).filter(each -> each.number() == number).findFirst().orElseThrow();
        return switch (cause) {
            case BACK_FACES -> "only backs of it are on the ray";
            case BEYOND_REACH -> "it lies deeper than rays go";
            case OUTSIDE_CAGE -> "it lies outside the cage";
            case OTHER_PART -> "only another part is there";
            case NOTHING -> "there is nothing on the ray";
            case NO_DIRECTION -> "the cage gives no direction";
        };
    }
}
