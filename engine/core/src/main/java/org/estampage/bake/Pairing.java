package org.estampage.bake;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.Part;

/** Which high-poly triangles the parts of a low poly see. */
final class Pairing {
    private Pairing() {
    }

    private static String key(String name, String suffix) {
        return name.endsWith(suffix) ? name.substring(0, name.length() - suffix.length()) : name;
    }

    /** Returns the low-poly parts that have triangles but no partner, as one problem, or nothing. */
    static List<MeshProblem> problems(BakeJob job) {
        if (!job.isPairedByName()) {
            return List.of();
        }
        Set<String> there = new LinkedHashSet<>();
        Set<String> keys = new LinkedHashSet<>();
        for (Mesh high : job.highs()) {
            for (Part part : high.parts()) {
                there.add(part.name());
                keys.add(key(part.name(), job.highSuffix()));
            }
        }
        Labels labels = job.low().partLabels();
        boolean[] used = new boolean[labels.names().size()];
        for (int t = 0; t < job.low().triangleCount(); t++) {
            if (labels.of(t) >= 0) {
                used[labels.of(t)] = true;
            }
        }
        List<String> alone = new ArrayList<>();
        for (int p = 0; p < used.length; p++) {
            if (used[p] && !keys.contains(key(labels.names().get(p), job.lowSuffix()))) {
                alone.add(labels.names().get(p));
            }
        }
        return alone.isEmpty() ? List.of() : List.of(new MeshProblem.NoPartner(alone, List.copyOf(there)));
    }

    /** Returns the triangles, of all high polys under one numbering, that a low-poly part sees; ascending. */
    static int[] trianglesFor(BakeJob job, HighPoly high, int lowPart) {
        String wanted = key(job.low().partLabels().names().get(lowPart), job.lowSuffix());
        int[] found = new int[high.all.triangleCount()];
        int count = 0;
        for (int m = 0; m < job.highs().size(); m++) {
            Labels labels = job.highs().get(m).partLabels();
            boolean[] fits = new boolean[labels.names().size()];
            for (int p = 0; p < fits.length; p++) {
                fits[p] = key(labels.names().get(p), job.highSuffix()).equals(wanted);
            }
            for (int t = 0; t < job.highs().get(m).triangleCount(); t++) {
                if (labels.of(t) >= 0 && fits[labels.of(t)]) {
                    found[count++] = high.firstTriangle[m] + t;
                }
            }
        }
        return java.util.Arrays.copyOf(found, count);
    }
}
