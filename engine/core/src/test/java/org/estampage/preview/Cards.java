package org.estampage.preview;

import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

/** Small meshes and images for tests of pictures. */
final class Cards {
    interface Height {
        double at(double x, double y);
    }

    private Cards() {
    }

    static Mesh mesh(Shape shape, String name) {
        return Mesh.builder(shape.positions(), shape.triangles()).name(name).build();
    }

    static Mesh sphere(int around) {
        return Normals.smooth(mesh(Shapes.uvSphere(1, around, around / 2), "sphere"));
    }

    /**
     * Returns a grid over [−1, 1]² of x and y, facing +z, with smooth normals.
     *
     * @param mirrored whether the UVs of the left half are the mirror image of the right half's, beside them
     */
    static Mesh grid(int cells, boolean mirrored, Height height) {
        int side = cells + 1;
        float[] p = new float[3 * side * side], uv = new float[4 * side * side];
        for (int v = 0; v < side * side; v++) {
            int column = v % side, row = v / side;
            double x = -1 + 2.0 * column / cells, y = -1 + 2.0 * row / cells;
            p[3 * v] = (float) x;
            p[3 * v + 1] = (float) y;
            p[3 * v + 2] = (float) height.at(x, y);
            // Two sets of entries: as seen, and mirrored.
            uv[2 * v] = (float) (mirrored ? 0.52 + 0.46 * x : 0.5 + 0.48 * x);
            uv[2 * (side * side + v)] = (float) (0.02 - 0.46 * x);
            uv[2 * v + 1] = (float) (0.5 + 0.48 * y);
            uv[2 * (side * side + v) + 1] = uv[2 * v + 1];
        }
        int[] corners = new int[6 * cells * cells], ofUv = new int[corners.length];
        for (int c = 0; c < corners.length; c++) {
            int cell = c / 6, a = cell / cells * side + cell % cells;
            corners[c] = a + new int[] {0, 1, side + 1, 0, side + 1, side}[c % 6];
            ofUv[c] = corners[c] + (mirrored && cell % cells < cells / 2 ? side * side : 0);
        }
        return Normals.smooth(Mesh.builder(p, corners).name("grid").uvSet(new Attribute("uv", 2, uv, ofUv)).build());
    }

    static Mesh card() {
        return grid(2, false, (x, y) -> 0);
    }

    static FloatImage normals(int size, double x, double y, double z) {
        FloatImage image = FloatImage.create(size, size, Encoding.normal());
        image.fill((float) x, (float) y, (float) z);
        return image;
    }

    static Lights sky(double middle, double slope) {
        return new Lights(new Vector(0, 0, 1), 1, 0, new Vector(0, 0, 1), 0, new Vector(0, 1, 0), middle, slope);
    }

    static Lights key(Vector toward, double strength) {
        return new Lights(toward.unit(), 1, strength, new Vector(0, 0, 1), 0, new Vector(0, 1, 0), 0, 0);
    }
}
