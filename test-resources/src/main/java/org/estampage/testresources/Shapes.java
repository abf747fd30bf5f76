package org.estampage.testresources;

import java.util.Arrays;

/**
 * Small meshes whose measures are known in closed form, and a carved column of any size.
 *
 * @space right-handed; counter-clockwise seen from outside
 * @units mesh units
 * @threads stateless
 */
public final class Shapes {
    private static final double TWO_PI = 2 * Math.PI;

    private Shapes() {
    }

    /** Returns an axis-parallel cube about the origin: 8 vertices, 12 triangles. */
    public static Shape cube(double edge) {
        return box(edge, edge, edge);
    }

    /** Returns an axis-parallel box about the origin: 8 vertices, 12 triangles, two a side: −x, +x, −y, +y, −z, +z. */
    public static Shape box(double width, double height, double depth) {
        float x = (float) (width / 2);
        float y = (float) (height / 2);
        float z = (float) (depth / 2);
        float[] p = new float[24];
        for (int v = 0; v < 8; v++) {
            p[3 * v] = (v & 1) == 0 ? -x : x;
            p[3 * v + 1] = (v & 2) == 0 ? -y : y;
            p[3 * v + 2] = (v & 4) == 0 ? -z : z;
        }
        return new Shape(p,
                new int[] {0, 4, 6, 0, 6, 2, 1, 3, 7, 1, 7, 5, 0, 1, 5, 0, 5, 4, 2, 6, 7, 2, 7, 3, 0, 2, 3, 0, 3, 1, 4, 5, 7, 4, 7, 6});
    }

    /**
     * Returns a closed prism around the Y axis whose corners lie on a circle; from −height/2 to height/2, the caps fans about a centre.
     *
     * @param sides corners, 3 or more; the mid-facet gap to the circle is radius · (1 − cos(π/sides))
     * @shape vertices: lower circle, upper circle, lower centre, upper centre; triangles: two a side, lower fan, upper fan
     */
    public static Shape prism(int sides, double radius, double height) {
        require("sides", sides, 3);
        float[] p = new float[3 * (2 * sides + 2)];
        int[] t = new int[3 * 4 * sides];
        for (int i = 0; i < sides; i++) {
            double angle = TWO_PI * i / sides;
            for (int level = 0; level < 2; level++) {
                int at = 3 * (level * sides + i);
                p[at] = (float) (radius * StrictMath.cos(angle));
                p[at + 1] = (float) (level == 0 ? -height / 2 : height / 2);
                p[at + 2] = (float) (-radius * StrictMath.sin(angle));
            }
            int next = (i + 1) % sides;
            put(t, 6 * i, i, next, sides + next, i, sides + next, sides + i);
            put(t, 3 * (2 * sides + i), 2 * sides, next, i);
            put(t, 3 * (3 * sides + i), 2 * sides + 1, sides + i, sides + next);
        }
        p[6 * sides + 1] = (float) (-height / 2);
        p[6 * sides + 4] = (float) (height / 2);
        return new Shape(p, t);
    }

    /**
     * Returns a torus around the Y axis with exact normals, vertices on the surface.
     *
     * @param around steps of the large circle
     * @param across steps of the small circle
     */
    public static Shape torus(double largeRadius, double smallRadius, int around, int across) {
        require("around", around, 3);
        require("across", across, 3);
        float[] p = new float[3 * around * across];
        float[] n = new float[p.length];
        int[] t = new int[6 * around * across];
        for (int i = 0; i < around; i++) {
            double a = TWO_PI * i / around;
            for (int j = 0; j < across; j++) {
                double b = TWO_PI * j / across;
                int v = i * across + j;
                double nx = StrictMath.cos(b) * StrictMath.cos(a);
                double ny = StrictMath.sin(b);
                double nz = -StrictMath.cos(b) * StrictMath.sin(a);
                set(n, v, nx, ny, nz);
                set(p, v, largeRadius * StrictMath.cos(a) + smallRadius * nx, smallRadius * ny,
                        -largeRadius * StrictMath.sin(a) + smallRadius * nz);
                int right = (i + 1) % around * across + j;
                int up = i * across + (j + 1) % across;
                int both = (i + 1) % around * across + (j + 1) % across;
                put(t, 6 * v, v, right, both, v, both, up);
            }
        }
        return new Shape(p, t).withNormals(n);
    }

    /**
     * Returns a sphere of circles of latitude with exact normals: one vertex at either pole, seam-free.
     *
     * @param around steps of longitude, 3 or more
     * @param rings  bands of latitude, 2 or more
     */
    public static Shape uvSphere(double radius, int around, int rings) {
        require("around", around, 3);
        require("rings", rings, 2);
        int count = 2 + around * (rings - 1);
        float[] n = new float[3 * count];
        set(n, 0, 0, -1, 0);
        set(n, count - 1, 0, 1, 0);
        for (int k = 1; k < rings; k++) {
            double latitude = Math.PI * k / rings;
            for (int i = 0; i < around; i++) {
                double a = TWO_PI * i / around;
                double r = StrictMath.sin(latitude);
                set(n, 1 + (k - 1) * around + i, r * StrictMath.cos(a), -StrictMath.cos(latitude), -r * StrictMath.sin(a));
            }
        }
        int[] t = new int[6 * around * (rings - 1)];
        int at = 0;
        for (int k = 0; k < rings; k++) {
            for (int i = 0; i < around; i++) {
                int next = (i + 1) % around;
                int low = 1 + (k - 1) * around;
                int high = low + around;
                if (k == 0) {
                    put(t, at, 0, high + next, high + i);
                    at += 3;
                } else if (k == rings - 1) {
                    put(t, at, low + i, low + next, count - 1);
                    at += 3;
                } else {
                    put(t, at, low + i, low + next, high + next, low + i, high + next, high + i);
                    at += 6;
                }
            }
        }
        return new Shape(scaled(n, radius), t).withNormals(n);
    }

    /** Returns a sphere made by splitting an icosahedron's triangles into four, {@code splits} times, with exact normals: 20 · 4ˢ triangles. */
    public static Shape icosphere(double radius, int splits) {
        require("splits", splits, 0);
        Shape unit = SphereGrids.icosphere(1 << splits);
        return new Shape(scaled(unit.positions(), radius), unit.triangles()).withNormals(unit.positions());
    }

    private static float[] scaled(float[] p, double factor) {
        float[] q = new float[p.length];
        for (int i = 0; i < p.length; i++) {
            q[i] = (float) (p[i] * factor);
        }
        return q;
    }

    /**
     * Returns a flat rectangle in the plane y = 0 about the origin, facing up, with normals and with UVs that fill 0–1: u along +x, v along −z.
     *
     * @param columns cells along x
     * @param rows    cells along z
     */
    public static Shape plane(double width, double depth, int columns, int rows) {
        require("columns", columns, 1);
        require("rows", rows, 1);
        float[] heights = new float[(columns + 1) * (rows + 1)];
        Shape grid = terrain(heights, columns + 1, rows + 1, 1);
        float[] p = new float[grid.positions().length];
        float[] uv = new float[heights.length * 2];
        for (int i = 0; i < heights.length; i++) {
            int column = i % (columns + 1);
            int row = i / (columns + 1);
            double u = column / (double) columns;
            double v = 1 - row / (double) rows;
            p[3 * i] = (float) (width * (u - 0.5));
            p[3 * i + 2] = (float) (depth * (0.5 - v));
            uv[2 * i] = (float) u;
            uv[2 * i + 1] = (float) v;
        }
        float[] n = new float[p.length];
        for (int i = 1; i < n.length; i += 3) {
            n[i] = 1;
        }
        return new Shape(p, grid.triangles()).withNormals(n).withUvs(uv);
    }

    /**
     * Returns a surface over a grid of heights, facing up: column i of row j stands at x = i · spacing, z = j · spacing.
     *
     * @param heights row by row; rows · columns values
     */
    public static Shape terrain(float[] heights, int columns, int rows, double spacing) {
        require("columns", columns, 2);
        require("rows", rows, 2);
        if (heights.length != columns * rows) {
            throw new IllegalArgumentException("heights: " + heights.length + " values are given, " + columns * rows + " are needed");
        }
        float[] p = new float[3 * heights.length];
        int[] t = new int[6 * (columns - 1) * (rows - 1)];
        int at = 0;
        for (int j = 0; j < rows; j++) {
            for (int i = 0; i < columns; i++) {
                int v = j * columns + i;
                set(p, v, i * spacing, heights[v], j * spacing);
                if (i + 1 < columns && j + 1 < rows) {
                    put(t, at, v, v + columns, v + columns + 1, v, v + columns + 1, v + 1);
                    at += 6;
                }
            }
        }
        return new Shape(p, t);
    }

    /**
     * Returns a fluted, carved column of about {@code triangles} triangles, standing on y = 0, 4 high: long thin flutes, rings of beads, fine
     * noise. A
     * closed surface; the benchmarks' high poly.
     */
    public static Shape carvedColumn(int triangles) {
        require("triangles", triangles, 1000);
        Shape column = TurnedMesh.mesh(ColumnCarving.OUTLINE, new ColumnCarving(), triangles);
        return new Shape(column.positions(), column.triangles());
    }

    private static void require(String name, int value, int least) {
        if (value < least) {
            throw new IllegalArgumentException(name + ": " + value + " must be " + least + " or more");
        }
    }

    static void set(float[] p, int vertex, double x, double y, double z) {
        p[3 * vertex] = (float) x;
        p[3 * vertex + 1] = (float) y;
        p[3 * vertex + 2] = (float) z;
    }

    private static void put(int[] t, int at, int... corners) {
        System.arraycopy(corners, 0, t, at, corners.length);
    }

    /** Returns several shapes as one, positions, triangles and normals only; normals are lost unless all have them. */
    public static Shape together(Shape... shapes) {
        int floats = Arrays.stream(shapes).mapToInt(s -> s.positions().length).sum();
        int corners = Arrays.stream(shapes).mapToInt(s -> s.triangles().length).sum();
        float[] p = new float[floats];
        float[] n = new float[floats];
        int[] t = new int[corners];
        boolean allNormals = true;
        int atFloat = 0;
        int atCorner = 0;
        for (Shape shape : shapes) {
            System.arraycopy(shape.positions(), 0, p, atFloat, shape.positions().length);
            float[] normals = shape.normals();
            if (normals == null) {
                allNormals = false;
            } else {
                System.arraycopy(normals, 0, n, atFloat, normals.length);
            }
            for (int corner : shape.triangles()) {
                t[atCorner++] = corner + atFloat / 3;
            }
            atFloat += shape.positions().length;
        }
        Shape all = new Shape(p, t);
        return allNormals ? all.withNormals(n) : all;
    }
}
