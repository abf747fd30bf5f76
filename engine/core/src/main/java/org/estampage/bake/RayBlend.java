package org.estampage.bake;

import java.util.Arrays;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Straightens rays over flat panels: away from the bends of a low poly they follow the facet's normal in place of the cage's direction.
 *
 * <p>A <b>panel</b> is a set of triangles joined over edges that do not bend. On its edges that do, rays keep the cage's direction, which both sides
 * share, so that no seam opens; from there the slant's tangent falls by a smooth step of the distance to the nearest bent edge of the panel, and is gone
 * at the panel's width of transition. That is twice the farthest that a ray moves sideways between its surface point and either end: the step is at most
 * 1.5 times as steep as a straight line, so points that rays meet move by at most 3/4 of their distance against each other, and their order stays.
 *
 * <p>A straightened ray starts where, seen outwards from its surface point, it first leaves the cage: what the cage holds it can't pass.
 *
 * @units mesh units
 * @edge triangles without area, and those that the cage's direction nearly runs along, keep their rays
 * @threads immutable by contract
 * @cost per sample, the bent edges of the panel within the width of transition of its triangle, and a ray against the cage
 */
final class RayBlend {
    /** Facets whose normals differ by less than 0.1°, whose cosine this is, lie in one panel. */
    private static final double FLAT = 0.9999985;
    /** A slant above this cosine's (87°) is none that could be straightened. */
    private static final double LEAST_COSINE = 0.05;
    private static final double WIDTH_FACTOR = 2;

    final RayTracer cage;
    private final double amount;
    /** Unit facet normals; 0 without area. */
    private final double[] normals;
    private final int[] panels;
    /** Width of transition of each panel. */
    private final double[] widths;
    /** Bent edges near each triangle: entries {@code starts[t] … starts[t + 1] − 1} of {@code ends}, six coordinates each. */
    private final int[] starts;
    private final double[] ends;

    RayBlend(Mesh low, Cage cage, double amount, double depth, Task task) {
        this.amount = amount;
        this.cage = Bvh.build(low.toBuilder().positions(cage.positions()).normals(null).tangents(null).build(), task);
        int count = low.triangleCount();
        float[] p = low.positions();
        int[] corners = low.positionIndices();
        normals = FacetNormals.unitInDouble(low);
        Adjacency adjacency = Adjacency.of(low);
        panels = panels(adjacency, count);
        int panelCount = Arrays.stream(panels).max().orElse(-1) + 1;
        widths = new double[panelCount];
        for (int c = 0; c < corners.length; c++) {
            int t = c / 3;
            widths[panels[t]] = Math.max(widths[panels[t]], WIDTH_FACTOR * sideways(cage, depth, corners[c], t));
        }
        // the bent edges of each panel, then those in reach of each triangle
        int[] firstEdge = new int[panelCount + 1];
        int[] edges = new int[corners.length];
        for (int c = 0; c < corners.length; c++) {
            if (bends(adjacency, c)) {
                firstEdge[panels[c / 3] + 1]++;
            }
        }
        for (int i = 0; i < panelCount; i++) {
            firstEdge[i + 1] += firstEdge[i];
        }
        int[] next = Arrays.copyOf(firstEdge, panelCount);
        for (int c = 0; c < corners.length; c++) {
            if (bends(adjacency, c)) {
                edges[next[panels[c / 3]]++] = c;
            }
        }
        starts = new int[count + 1];
        double[] found = new double[6 * 64];
        int size = 0;
        for (int t = 0; t < count; t++) {
            for (int i = firstEdge[panels[t]]; i < firstEdge[panels[t] + 1]; i++) {
                int a = 3 * corners[edges[i]], b = 3 * corners[Adjacency.next(edges[i])];
                if (gap(p, a, b, 3 * corners[3 * t], 3 * corners[3 * t + 1], 3 * corners[3 * t + 2]) < widths[panels[t]]) {
                    if (found.length < size + 6) {
                        found = Arrays.copyOf(found, 2 * found.length);
                    }
                    for (int k = 0; k < 3; k++) {
                        found[size + k] = p[a + k];
                        found[size + 3 + k] = p[b + k];
                    }
                    size += 6;
                }
            }
            starts[t + 1] = size / 6;
            if (t % 4096 == 0) {
                task.check();
            }
        }
        ends = Arrays.copyOf(found, size);
    }

    private double dot(int s, int t) {
        return normals[3 * s] * normals[3 * t] + normals[3 * s + 1] * normals[3 * t + 1] + normals[3 * s + 2] * normals[3 * t + 2];
    }

    /** Returns whether an edge has other triangles on its far side, in another plane. An open border has nothing to be continuous with. */
    private boolean bends(Adjacency adjacency, int edge) {
        int other = adjacency.opposite(edge);
        return other == Adjacency.NON_MANIFOLD || (other >= 0 && dot(edge / 3, other / 3) < FLAT);
    }

    private int[] panels(Adjacency adjacency, int count) {
        int[] of = new int[count];
        Arrays.fill(of, -1);
        int[] stack = new int[count];
        int panel = 0;
        for (int first = 0; first < count; first++) {
            if (of[first] >= 0) {
                continue;
            }
            int top = 0;
            stack[top++] = first;
            of[first] = panel;
            while (top > 0) {
                int t = stack[--top];
                for (int c = 3 * t; c < 3 * t + 3; c++) {
                    int other = adjacency.opposite(c);
                    if (other >= 0 && of[other / 3] < 0 && dot(t, other / 3) >= FLAT) {
                        of[other / 3] = panel;
                        stack[top++] = other / 3;
                    }
                }
            }
            panel++;
        }
        return of;
    }

    /** Returns how far a ray at a vertex moves sideways over a triangle between the surface and its farther end. */
    private double sideways(Cage cage, double depth, int vertex, int t) {
        float[] p = cage.low().positions(), q = cage.positions();
        double[] d = new double[3];
        double square = 0;
        for (int k = 0; k < 3; k++) {
            d[k] = (double) q[3 * vertex + k] - p[3 * vertex + k];
            square += d[k] * d[k];
        }
        double out = Math.sqrt(square);
        for (int k = 0; k < 3; k++) {
            d[k] = out > 0 ? d[k] / out : cage.directions()[3 * vertex + k];
        }
        double cosine = d[0] * normals[3 * t] + d[1] * normals[3 * t + 1] + d[2] * normals[3 * t + 2];
        double length = Math.max(out, Double.isNaN(depth) ? cage.reaches()[vertex] : depth);
        return length * Math.sqrt(Math.max(0, 1 - cosine * cosine));
    }

    /** Returns a length that the distance of an edge and a triangle is not below: that of their boxes. */
    private static double gap(float[] p, int a, int b, int c, int d, int e) {
        double square = 0;
        for (int k = 0; k < 3; k++) {
            double apart = Math.max((double) Math.min(p[a + k], p[b + k]) - Math.max(p[c + k], Math.max(p[d + k], p[e + k])),
                    (double) Math.min(p[c + k], Math.min(p[d + k], p[e + k])) - Math.max(p[a + k], p[b + k]));
            square += apart > 0 ? apart * apart : 0;
        }
        return Math.sqrt(square);
    }

    /** Returns how much of the straight direction counts at a point of a triangle: 0 on a bent edge, the full amount beyond the transition. */
    double at(int t, double x, double y, double z) {
        double square = Double.POSITIVE_INFINITY;
        for (int i = 6 * starts[t]; i < 6 * starts[t + 1]; i += 6) {
            double ex = ends[i + 3] - ends[i], ey = ends[i + 4] - ends[i + 1], ez = ends[i + 5] - ends[i + 2];
            double dx = x - ends[i], dy = y - ends[i + 1], dz = z - ends[i + 2];
            double length = ex * ex + ey * ey + ez * ez;
            double s = length > 0 ? Math.max(0, Math.min(1, (dx * ex + dy * ey + dz * ez) / length)) : 0;
            dx -= s * ex;
            dy -= s * ey;
            dz -= s * ez;
            square = Math.min(square, dx * dx + dy * dy + dz * dz);
        }
        double width = widths[panels[t]];
        double part = square >= width * width ? 1 : Math.sqrt(square) / width;
        return amount * part * part * (3 - 2 * part);
    }

    /**
     * Blends the outward direction at a point.
     *
     * @param inoutDirection unit, outwards; changed where the rays are straightened
     * @return whether it was changed
     */
    boolean straighten(int t, double x, double y, double z, double[] inoutDirection) {
        double nx = normals[3 * t], ny = normals[3 * t + 1], nz = normals[3 * t + 2];
        double cosine = nx * inoutDirection[0] + ny * inoutDirection[1] + nz * inoutDirection[2];
        if (!(cosine > LEAST_COSINE)) {
            return false;
        }
        double part = at(t, x, y, z);
        if (part == 0) {
            return false;
        }
        // the slant's tangent shrinks in a straight line with the part
        double dx = nx + (1 - part) * (inoutDirection[0] / cosine - nx);
        double dy = ny + (1 - part) * (inoutDirection[1] / cosine - ny);
        double dz = nz + (1 - part) * (inoutDirection[2] / cosine - nz);
        double length = Math.sqrt(dx * dx + dy * dy + dz * dz);
        inoutDirection[0] = dx / length;
        inoutDirection[1] = dy / length;
        inoutDirection[2] = dz / length;
        return true;
    }
}
