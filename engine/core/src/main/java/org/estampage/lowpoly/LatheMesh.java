package org.estampage.lowpoly;

import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Polygons;

/**
 * Makes the mesh of circles about a line: positions, normals, UVs, polygons.
 *
 * <p>Each end that is not open has a centre vertex and a fan about it: at a cap in the plane of the last circle, at a pole beyond it.
 *
 * @threads confined
 */
final class LatheMesh {
    private final Turning turning;
    private final int sides;
    private final int circles;
    /** Heights above the low end, and radii; one each a circle. */
    private final double[] height;
    private final double[] radius;
    private final LatheEnd[] end;
    /** The number of an end's centre vertex, counted from the first one; no meaning for an open end. */
    private final int[] centre;
    private final int centres;
    private final double[] cosine;
    private final double[] sine;

    /**
     * Takes a polyline.
     *
     * @param height rising heights above the low end; those of poles too
     * @param radius the radii there; at poles they do not matter
     */
    LatheMesh(Turning turning, int sides, double seamRadians, double[] height, double[] radius, LatheEnd low, LatheEnd high) {
        this.turning = turning;
        this.sides = sides;
        end = new LatheEnd[] {low, high};
        int first = low == LatheEnd.CLOSED ? 1 : 0;
        circles = height.length - first - (high == LatheEnd.CLOSED ? 1 : 0);
        this.height = new double[circles];
        this.radius = new double[circles];
        System.arraycopy(height, first, this.height, 0, circles);
        System.arraycopy(radius, first, this.radius, 0, circles);
        centre = new int[] {0, low == LatheEnd.OPEN ? 0 : 1};
        centres = centre[1] + (high == LatheEnd.OPEN ? 0 : 1);
        cosine = new double[sides + 1];
        sine = new double[sides + 1];
        for (int j = 0; j <= sides; j++) {
            double angle = seamRadians + 2 * Math.PI * j / sides;
            cosine[j] = StrictMath.cos(angle);
            sine[j] = StrictMath.sin(angle);
        }
    }

    Mesh build(String name, int size, int gutter, List<Finding> findings) {
        int[] corners = new int[3 * (2 * sides * (circles - 1) + sides * centres)];
        int[] normalCorners = new int[corners.length];
        int[] uvCorners = new int[corners.length];
        int at = 0;
        // The side, from the low end up: seen from outside, angles grow to the right.
        for (int i = 0; i + 1 < circles; i++) {
            for (int j = 0; j < sides; j++) {
                int left = i * sides + j;
                int right = i * sides + (j + 1) % sides;
                int uv = i * (sides + 1) + j;
                at = triangle(corners, at, left, right, right + sides);
                at = triangle(corners, at, left, right + sides, left + sides);
                triangle(uvCorners, at - 6, uv, uv + 1, uv + sides + 2);
                triangle(uvCorners, at - 3, uv, uv + sides + 2, uv + sides + 1);
            }
        }
        System.arraycopy(corners, 0, normalCorners, 0, at);
        // The fans turn the other way round at the low end, where they are seen from below.
        for (int e = 0; e < 2; e++) {
            if (end[e] == LatheEnd.OPEN) {
                continue;
            }
            int middle = circles * sides + centre[e];
            int ring = e == 0 ? 0 : (circles - 1) * sides;
            int uv = circles * (sides + 1) + centre[e] * (sides + 1);
            boolean hard = end[e] == LatheEnd.CAPPED;
            for (int j = 0; j < sides; j++) {
                int next = (j + 1) % sides;
                int first = e == 0 ? next : j;
                int second = e == 0 ? j : next;
                triangle(uvCorners, at, uv + sides, uv + first, uv + second);
                triangle(normalCorners, at, middle, hard ? middle : ring + first, hard ? middle : ring + second);
                at = triangle(corners, at, middle, ring + first, ring + second);
            }
        }
        return Mesh.builder(positions(), corners).name(name).normals(new Attribute("normal", 3, normals(), normalCorners))
                .uvSet(new Attribute("uv", 2, uvs(size, gutter), uvCorners)).polygons(polygons()).findings(findings).build();
    }

    private static int triangle(int[] corners, int at, int a, int b, int c) {
        corners[at] = a;
        corners[at + 1] = b;
        corners[at + 2] = c;
        return at + 3;
    }

    private float[] positions() {
        float[] xyz = new float[3 * (circles * sides + centres)];
        AxisFrame frame = turning.frame();
        int at = 0;
        for (int i = 0; i < circles; i++) {
            for (int j = 0; j < sides; j++) {
                frame.place(turning.centreA() + radius[i] * cosine[j], turning.centreB() + radius[i] * sine[j], level(height[i]), xyz, at);
                at += 3;
            }
        }
        for (int e = 0; e < 2; e++) {
            if (end[e] != LatheEnd.OPEN) {
                frame.place(turning.centreA(), turning.centreB(), e == 0 ? turning.low() : turning.high(), xyz, at);
                at += 3;
            }
        }
        return xyz;
    }

    /** Returns the coordinate of a height, of the high end's the very one of the mesh. */
    private double level(double above) {
        return above == turning.height() ? turning.high() : turning.low() + above;
    }

    /**
     * Returns one normal a vertex of the side, weighted by the angles of the facets around it as everywhere in this library, and one a centre. A
     * band's facets are level trapezoids, at a pole triangles, so the sum has a closed form: the two facets of a band to the left and right of a vertex
     * have the same angle there, and their normals lie π/sides to either side.
     */
    private float[] normals() {
        double[] out = new double[circles];
        double[] up = new double[circles];
        for (int i = 0; i + 1 < circles; i++) {
            addBand(i, i + 1, height[i + 1] - height[i], radius[i + 1] - radius[i], out, up);
        }
        if (end[0] == LatheEnd.CLOSED) {
            addBand(-1, 0, height[0], radius[0], out, up);
        }
        if (end[1] == LatheEnd.CLOSED) {
            addBand(circles - 1, -1, turning.height() - height[circles - 1], -radius[circles - 1], out, up);
        }
        float[] xyz = new float[3 * (circles * sides + centres)];
        AxisFrame frame = turning.frame();
        int at = 0;
        for (int i = 0; i < circles; i++) {
            double length = Math.sqrt(out[i] * out[i] + up[i] * up[i]);
            for (int j = 0; j < sides; j++) {
                frame.place(out[i] / length * cosine[j], out[i] / length * sine[j], up[i] / length, xyz, at);
                at += 3;
            }
        }
        for (int e = 0; e < 2; e++) {
            if (end[e] != LatheEnd.OPEN) {
                frame.place(0, 0, e == 0 ? -1 : 1, xyz, at);
                at += 3;
            }
        }
        return xyz;
    }

    /**
     * Adds a band's part to the normals of the circles below and above it; -1 is a pole, which has its normal already.
     *
     * @param wider by how much the radius grows from below to above
     */
    private void addBand(int below, int above, double rise, double wider, double[] inoutOut, double[] inoutUp) {
        double half = Math.PI / sides;
        // In the plane through the middle of a facet the radii are those of the circles inside the polygons.
        double inset = wider * StrictMath.cos(half);
        double slant = Math.sqrt(rise * rise + inset * inset);
        // The trapezoid's angle at its lower corners; the upper ones have the rest to π.
        double lower = StrictMath.atan2(slant, -wider * StrictMath.sin(half));
        if (below >= 0) {
            inoutOut[below] += lower * StrictMath.cos(half) * rise / slant;
            inoutUp[below] -= lower * inset / slant;
        }
        if (above >= 0) {
            inoutOut[above] += (Math.PI - lower) * StrictMath.cos(half) * rise / slant;
            inoutUp[above] -= (Math.PI - lower) * inset / slant;
        }
    }

    /** Returns the radius of an end's disc in the plane: that of the cap, or that of the disc with the area of the cone to the pole; 0 of an open end. */
    private double discRadius(int e) {
        int i = e == 0 ? 0 : circles - 1;
        return switch (end[e]) {
            case OPEN -> 0;
            case CAPPED -> radius[i];
            case CLOSED -> {
                double rise = e == 0 ? height[i] : turning.height() - height[i];
                yield Math.sqrt(radius[i] * Math.sqrt(rise * rise + radius[i] * radius[i]));
            }
        };
    }

    private float[] uvs(int size, int gutter) {
        double[] along = new double[circles];
        double area = 0;
        for (int i = 1; i < circles; i++) {
            double rise = height[i] - height[i - 1];
            double inset = radius[i] - radius[i - 1];
            double slant = Math.sqrt(rise * rise + inset * inset);
            along[i] = along[i - 1] + slant;
            area += Math.PI * (radius[i] + radius[i - 1]) * slant;
        }
        double length = along[circles - 1];
        double[] disc = {discRadius(0), discRadius(1)};
        LatheLayout layout = LatheLayout.of(area / length, length, 2 * disc[0], 2 * disc[1], size, gutter);
        float[] uv = new float[2 * (sides + 1) * (circles + centres)];
        int at = 0;
        for (int i = 0; i < circles; i++) {
            for (int j = 0; j <= sides; j++) {
                uv[at++] = layout.uv(layout.sideX + (double) layout.sideWidth * j / sides, layout.sideX, layout.sideX + layout.sideWidth);
                uv[at++] = layout.uv(layout.sideY + layout.sideHeight * along[i] / length, layout.sideY, layout.sideY + layout.sideHeight);
            }
        }
        for (int e = 0; e < 2; e++) {
            if (end[e] == LatheEnd.OPEN) {
                continue;
            }
            int x = layout.discX[e];
            int y = layout.discY[e];
            int box = layout.discSide[e];
            double r = disc[e] * layout.scale;
            for (int j = 0; j < sides; j++) {
                uv[at++] = layout.uv(x + 0.5 * box + r * cosine[j], x, x + box);
                uv[at++] = layout.uv(y + 0.5 * box + (e == 0 ? -r : r) * sine[j], y, y + box);
            }
            uv[at++] = layout.uv(x + 0.5 * box, x, x + box);
            uv[at++] = layout.uv(y + 0.5 * box, y, y + box);
        }
        return uv;
    }

    /** Four corners a facet of the side, three a facet of a fan. */
    private Polygons polygons() {
        int quads = sides * (circles - 1);
        int fans = sides * centres;
        int[] starts = new int[quads + fans + 1];
        int[] corners = new int[4 * quads + 3 * fans];
        int at = 0;
        for (int q = 0; q < quads; q++) {
            corners[at++] = 6 * q;
            corners[at++] = 6 * q + 1;
            corners[at++] = 6 * q + 2;
            corners[at++] = 6 * q + 5;
            starts[q + 1] = at;
        }
        for (int f = 0; f < fans; f++) {
            for (int k = 0; k < 3; k++) {
                corners[at++] = 6 * quads + 3 * f + k;
            }
            starts[quads + f + 1] = at;
        }
        return new Polygons(starts, corners);
    }
}
