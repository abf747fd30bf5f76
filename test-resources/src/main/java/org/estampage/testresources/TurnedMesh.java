package org.estampage.testresources;

import java.util.stream.IntStream;

/**
 * Meshes a carved turned thing with nearly equilateral triangles: rings of vertices around the Y axis, each with as many as its circumference asks
 * for, zipped together, and one vertex at either end of the outline. So there are no needles at the poles.
 *
 * @threads stateless; works on all processors, and gives the same bits with any number of them
 */
final class TurnedMesh {
    /** Steps of the table that turns triangle density into ring positions. */
    private static final int DENSITY_STEPS = 8192;
    private static final int RINGS_PER_TASK = 8;

    /** What is carved into the outline. */
    interface Carving {
        /** Returns the wanted edge length at an arc length, as a multiple of the common one. */
        double edgeScale(double s);

        /**
         * Carves one vertex.
         *
         * @param s       arc length along the outline
         * @param angle   0 … 2π around the axis, counter-clockwise seen from above
         * @param outline radius and height of the plain outline
         * @param x       plain position
         * @param z       plain position
         * @param dest    displacement along the outline's normal; red, green, blue in 0 … 1
         */
        void carve(double s, double angle, double[] outline, double x, double z, double[] dest);
    }

    private TurnedMesh() {
    }

    /** Meshes an outline with about {@code triangles} triangles. */
    static Shape mesh(TurnedProfile profile, Carving carving, int triangles) {
        double[] table = densityTable(profile, carving);
        Rings rings = rings(profile, carving, table, triangles);
        int vertexCount = rings.firstVertex[rings.ringCount - 1] + 1;
        float[] positions = new float[3 * vertexCount];
        byte[] colours = new byte[3 * vertexCount];
        int[] indices = new int[3 * rings.triangleCount()];
        int tasks = (rings.ringCount + RINGS_PER_TASK - 1) / RINGS_PER_TASK;
        // Every ring writes its own part of the arrays, so the number of threads can't show.
        IntStream.range(0, tasks).parallel().forEach(task -> {
            double[] outline = new double[4];
            double[] carved = new double[4];
            int end = Math.min(rings.ringCount, (task + 1) * RINGS_PER_TASK);
            for (int ring = task * RINGS_PER_TASK; ring < end; ring++) {
                rings.vertices(ring, profile, carving, outline, carved, positions, colours);
                if (ring > 0) {
                    rings.zip(ring, indices);
                }
            }
        });
        return new Shape(positions, indices).withColours(colours);
    }

    /** Returns, for equal steps of arc length, the length counted in local edges. */
    private static double[] densityTable(TurnedProfile profile, Carving carving) {
        double[] table = new double[DENSITY_STEPS + 1];
        double step = profile.length() / DENSITY_STEPS;
        for (int i = 1; i <= DENSITY_STEPS; i++) {
            table[i] = table[i - 1] + step / carving.edgeScale((i - 0.5) * step);
        }
        return table;
    }

    /** Finds by bisection the edge length that gives the wanted number of triangles. */
    private static Rings rings(TurnedProfile profile, Carving carving, double[] table, int triangles) {
        double low = profile.length() * 1e-4;
        double high = profile.length();
        Rings best = new Rings(profile, carving, table, high);
        for (int i = 0; i < 48; i++) {
            double middle = Math.sqrt(low * high);
            Rings candidate = new Rings(profile, carving, table, middle);
            if (Math.abs((long) candidate.triangleCount() - triangles) < Math.abs((long) best.triangleCount() - triangles)) {
                best = candidate;
            }
            if (candidate.triangleCount() > triangles) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return best;
    }

    /** How many vertices stand on which ring. */
    private static final class Rings {
        final int ringCount;
        final double[] s;
        final int[] firstVertex;
        final int[] vertexCount;

        Rings(TurnedProfile profile, Carving carving, double[] table, double edge) {
            // Rows of equilateral triangles stand √3/2 edges apart.
            int strips = Math.max(6, (int) Math.round(table[DENSITY_STEPS] / (edge * 0.8660254037844386)));
            ringCount = strips + 1;
            s = new double[ringCount];
            firstVertex = new int[ringCount];
            vertexCount = new int[ringCount];
            double[] outline = new double[4];
            double step = profile.length() / DENSITY_STEPS;
            int cell = 0;
            int next = 0;
            for (int ring = 0; ring < ringCount; ring++) {
                double wanted = table[DENSITY_STEPS] * ring / strips;
                while (cell < DENSITY_STEPS - 1 && table[cell + 1] < wanted) {
                    cell++;
                }
                s[ring] = Math.min(profile.length(), step * (cell + (wanted - table[cell]) / (table[cell + 1] - table[cell])));
                profile.at(s[ring], outline);
                boolean pole = ring == 0 || ring == strips;
                vertexCount[ring] = pole
                        ? 1
                        : Math.max(6, (int) Math.round(2 * Math.PI * outline[0] / (edge * carving.edgeScale(s[ring]))));
                firstVertex[ring] = next;
                next = Math.addExact(next, vertexCount[ring]);
            }
        }

        int triangleCount() {
            // Every vertex of an inner ring is the base of one triangle below it and one above it.
            return 2 * (firstVertex[ringCount - 1] - 1);
        }

        void vertices(int ring, TurnedProfile profile, Carving carving, double[] outline, double[] carved, float[] positions,
                byte[] colours) {
            profile.at(s[ring], outline);
            int count = vertexCount[ring];
            if (count == 1) {
                outline[0] = 0;
                outline[2] = 0;
            }
            for (int i = 0; i < count; i++) {
                // Odd rings are turned by half an edge, which makes triangles equilateral.
                double angle = 2 * Math.PI * (2 * i + (ring & 1)) / (2.0 * count);
                double cos = StrictMath.cos(angle);
                double sin = StrictMath.sin(angle);
                carving.carve(s[ring], angle, outline, outline[0] * cos, -outline[0] * sin, carved);
                double radius = outline[0] + carved[0] * outline[2];
                int at = 3 * (firstVertex[ring] + i);
                positions[at] = (float) (radius * cos);
                positions[at + 1] = (float) (outline[1] + carved[0] * outline[3]);
                positions[at + 2] = (float) (-radius * sin);
                for (int c = 0; c < 3; c++) {
                    colours[at + c] = (byte) (int) (255 * Noise.clamp01(carved[c + 1]) + 0.5);
                }
            }
        }

        /** Fills the strip of triangles between a ring and the one below it. */
        void zip(int ring, int[] indices) {
            int below = firstVertex[ring - 1];
            int above = firstVertex[ring];
            long belowCount = vertexCount[ring - 1];
            long aboveCount = vertexCount[ring];
            // All strips below this one: each vertex of the rings in between counts twice, the strip's own lower ring once.
            int at = 3 * (ring == 1 ? 0 : 2 * (below - 1) + (int) belowCount);
            int i = 0;
            int j = 0;
            boolean pole = belowCount == 1;
            boolean apex = aboveCount == 1;
            while (i < (pole ? 0 : belowCount) || j < (apex ? 0 : aboveCount)) {
                // Advance on the side whose next vertex comes first around the axis; compared as whole numbers, so without rounding.
                boolean advanceBelow;
                if (pole || i == belowCount) {
                    advanceBelow = false;
                } else if (apex || j == aboveCount) {
                    advanceBelow = true;
                } else {
                    advanceBelow = (2 * (i + 1) + (ring - 1 & 1)) * aboveCount < (2 * (j + 1) + (ring & 1)) * belowCount;
                }
                int lower = below + (int) (i % belowCount);
                int upper = above + (int) (j % aboveCount);
                indices[at++] = lower;
                if (advanceBelow) {
                    i++;
                    indices[at++] = below + (int) (i % belowCount);
                } else {
                    j++;
                    indices[at++] = above + (int) (j % aboveCount);
                }
                indices[at++] = upper;
            }
        }
    }
}
