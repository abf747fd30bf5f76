package org.estampage.console;

import java.util.Collection;
import java.util.Optional;

/** Finds the word that was probably meant. */
final class Nearest {
    private Nearest() {
    }

    /** Returns the nearest of some words by edit distance, the first of equals, if at most a third of the letters differ. */
    static Optional<String> to(String word, Collection<String> words) {
        String best = null;
        int least = Math.max(1, word.length() / 3) + 1;
        for (String candidate : words) {
            int distance = distance(word.toLowerCase(java.util.Locale.ROOT), candidate.toLowerCase(java.util.Locale.ROOT));
            if (distance < least) {
                least = distance;
                best = candidate;
            }
        }
        return Optional.ofNullable(best);
    }

    /** Returns how many letters must be changed, put in, left out, or swapped with their neighbour. */
    static int distance(String a, String b) {
        int[][] d = new int[a.length() + 1][b.length() + 1];
        for (int i = 0; i <= a.length(); i++) {
            for (int j = 0; j <= b.length(); j++) {
                if (i == 0 || j == 0) {
                    d[i][j] = i + j;
                    continue;
                }
                boolean same = a.charAt(i - 1) == b.charAt(j - 1);
                d[i][j] = Math.min(d[i - 1][j - 1] + (same ? 0 : 1), 1 + Math.min(d[i - 1][j], d[i][j - 1]));
                if (i > 1 && j > 1 && a.charAt(i - 1) == b.charAt(j - 2) && a.charAt(i - 2) == b.charAt(j - 1)) {
                    d[i][j] = Math.min(d[i][j], d[i - 2][j - 2] + 1);
                }
            }
        }
        return d[a.length()][b.length()];
    }
}
