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

    /** Levenshtein distance. */
    static int distance(String a, String b) {
        int[] row = new int[b.length() + 1];
        for (int j = 0; j <= b.length(); j++) {
            row[j] = j;
        }
        for (int i = 1; i <= a.length(); i++) {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.length(); j++) {
                int change = diagonal + (a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.min(change, 1 + Math.min(row[j], row[j - 1]));
            }
        }
        return row[b.length()];
    }
}
