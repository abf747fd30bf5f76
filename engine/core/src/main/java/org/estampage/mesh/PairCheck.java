package org.estampage.mesh;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;

/**
 * Notices that a low poly and a high poly are not the same thing in the same place: other units, another axis up, mirrored, or moved.
 *
 * <p>Compared are the boxes around both and their centres of area, so a thing that looks the same turned or mirrored gives no alarm.
 *
 * @threads stateless
 */
public final class PairCheck {
    /** Units that meet in practice: powers of ten, inches and feet in centimetres, metres and millimetres, inches in a foot. */
    private static final double[] FACTORS = {10, 100, 1000, 25.4, 2.54, 39.37007874, 0.3048, 30.48, 304.8, 12};
    /** A ratio this near to a factor is the factor: a low poly is a little larger or smaller than what it stands for. */
    private static final double NEAR = 0.1;
    /** Sizes that differ by no more are of the same unit. */
    private static final double ALIKE = 1.25;
    /** Boxes and centres that differ by no more than this part of the diagonal, in sum, fit. */
    private static final double FITS = 0.15;
    /** What is better must be better by so much. */
    private static final double CLEARLY = 0.3;

    private PairCheck() {
    }

    /**
     * Compares the two. Kinds of findings: {@code other-unit}, {@code other-axis-up}, {@code mirrored}, {@code apart}; the remedy is the call that cures
     * it where there is one. Nothing is found when all is well.
     *
     * @throws InvalidMeshException if a mesh has no triangles or positions that are not finite
     * @cost a pass over the triangles of both
     */
    public static Findings check(MeshSource low, MeshSource high) {
        Mesh first = low.build();
        Mesh second = high.build();
        List<MeshProblem> problems = new ArrayList<>(MeshCheck.shapeProblems(first, "the low poly"));
        problems.addAll(MeshCheck.shapeProblems(second, "the high poly"));
        InvalidMeshException.throwIfAny(problems);
        List<Finding> findings = new ArrayList<>();
        double[] a = extents(first);
        double[] b = extents(second);
        double ratio = diagonal(b) / diagonal(a);
        if (!(ratio > 0 && ratio < Double.POSITIVE_INFINITY)) {
            return Findings.none(); // one of them is a point
        }
        if (ratio > ALIKE || ratio < 1 / ALIKE) {
            double factor = factor(ratio);
            findings.add(Finding.warning("other-unit", 1,
                    String.format(Locale.ROOT, "the high poly is %.4g times the size of the low poly%s", ratio,
                            factor == ratio ? "" : ": their units differ by " + number(factor)),
                    "call low = low.unit(" + number(factor) + ")", List.of()));
            for (int i = 0; i < a.length; i++) {
                a[i] *= factor;
            }
        }
        double misfit = misfit(a, b);
        if (misfit > FITS) {
            findings.addAll(placed(a, b, misfit));
        }
        return Findings.of(findings);
    }

    private static List<Finding> placed(double[] a, double[] b, double misfit) {
        double least = CLEARLY * misfit;
        Finding best = null;
        for (Axis axis : Axis.values()) {
            double turnedLow = axis == Axis.Y ? misfit : misfit(up(a, axis), b);
            if (turnedLow < least) {
                least = turnedLow;
                best = turned("low", axis);
            }
            double turnedHigh = axis == Axis.Y ? misfit : misfit(a, up(b, axis));
            if (turnedHigh < least) {
                least = turnedHigh;
                best = turned("high", axis);
            }
            double mirrored = misfit(mirrored(a, axis), b);
            if (mirrored < least) {
                least = mirrored;
                best = Finding.warning("mirrored", 1, "the low poly is the high poly's mirror image along " + axis,
                        "call low = low.mirrored(Axis." + axis + "), or write one of them again without the negative scale", List.of());
            }
        }
        if (best != null) {
            return List.of(best);
        }
        double[] apart = {middle(b, 0) - middle(a, 0), middle(b, 1) - middle(a, 1), middle(b, 2) - middle(a, 2)};
        double[] moved = a.clone();
        for (int i = 0; i < moved.length; i++) {
            moved[i] += apart[i % 3];
        }
        return List.of(Finding.warning("apart", 1,
                misfit(moved, b) < CLEARLY * misfit
                        ? String.format(Locale.ROOT, "the low poly lies beside the high poly, (%.4g, %.4g, %.4g) away", apart[0], apart[1],
                                apart[2])
                        : String.format(Locale.ROOT, "the boxes around the two differ by %.0f %% of the diagonal", 100 * misfit),
                "move or turn one of them before it is exported, or load the right file", List.of()));
    }

    private static Finding turned(String which, Axis axis) {
        return Finding.warning("other-axis-up", 1, "the " + which + " poly has another axis up than the other one",
                "call " + which + " = " + which + ".up(Axis." + axis + ")", List.of());
    }

    private static double factor(double ratio) {
        for (double factor : FACTORS) {
            if (Math.abs(ratio / factor - 1) < NEAR) {
                return factor;
            }
            if (Math.abs(ratio * factor - 1) < NEAR) {
                return 1 / factor;
            }
        }
        return ratio;
    }

    private static String number(double factor) {
        return String.format(Locale.ROOT, "%.6g", factor).replaceFirst("\\.?0+$", "");
    }

    /** Returns min xyz, max xyz, centre of area xyz. */
    private static double[] extents(Mesh mesh) {
        double[] e = {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY,
                Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY, 0, 0, 0};
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double sum = 0;
        Facet facet = new Facet();
        for (int c = 0; c < corners.length; c += 3) {
            int i = 3 * corners[c];
            int j = 3 * corners[c + 1];
            int k = 3 * corners[c + 2];
            facet.setNormal(p, corners[c], corners[c + 1], corners[c + 2]);
            double area = facet.doubleArea; // twice as large for all
            sum += area;
            for (int axis = 0; axis < 3; axis++) {
                double least = Math.min(p[i + axis], Math.min(p[j + axis], p[k + axis]));
                double most = Math.max(p[i + axis], Math.max(p[j + axis], p[k + axis]));
                e[axis] = Math.min(e[axis], least);
                e[3 + axis] = Math.max(e[3 + axis], most);
                e[6 + axis] += area * ((double) p[i + axis] + p[j + axis] + p[k + axis]) / 3;
            }
        }
        for (int axis = 0; axis < 3; axis++) {
            e[6 + axis] = sum > 0 ? e[6 + axis] / sum : middle(e, axis);
        }
        return e;
    }

    private static double middle(double[] e, int axis) {
        return (e[axis] + e[3 + axis]) / 2;
    }

    private static double diagonal(double[] e) {
        double sum = 0;
        for (int axis = 0; axis < 3; axis++) {
            sum += (e[3 + axis] - e[axis]) * (e[3 + axis] - e[axis]);
        }
        return Math.sqrt(sum);
    }

    /** Returns how far sides and centres are apart, in parts of the diagonal. */
    private static double misfit(double[] a, double[] b) {
        double sum = 0;
        for (int i = 0; i < a.length; i++) {
            sum += Math.abs(a[i] - b[i]);
        }
        return sum / diagonal(b);
    }

    /** Turns as {@link Mesh#up} does. */
    private static double[] up(double[] e, Axis axis) {
        return axis == Axis.Z
                ? new double[] {e[0], e[2], -e[4], e[3], e[5], -e[1], e[6], e[8], -e[7]} // (x, y, z) → (x, z, −y)
                : new double[] {-e[4], e[0], e[2], -e[1], e[3], e[5], -e[7], e[6], e[8]}; // (x, y, z) → (−y, x, z)
    }

    private static double[] mirrored(double[] e, Axis axis) {
        double[] m = e.clone();
        int k = axis.component();
        m[k] = -e[3 + k];
        m[3 + k] = -e[k];
        m[6 + k] = -e[6 + k];
        return m;
    }
}
