package org.estampage.uv;

/**
 * A chart that waits for its place.
 *
 * @shape uv: two numbers a vertex; triangles: three of the chart's vertices each; taken over, not copied
 * @threads immutable by contract
 */
final class Chart {
    /** Where the vertices lie, in units that all charts share. */
    final double[] uv;
    /** The vertices of each triangle. */
    final int[] triangles;
    /** The multiple of texel density that it is given, above 0. */
    final double weight;

    Chart(double[] uv, int[] triangles, double weight) {
        this.uv = uv;
        this.triangles = triangles;
        this.weight = weight;
    }

    /** Returns the area in squared units, before weighting. */
    double area() {
        double sum = 0;
        for (int c = 0; c < triangles.length; c += 3) {
            int i = 2 * triangles[c];
            int j = 2 * triangles[c + 1];
            int k = 2 * triangles[c + 2];
            sum += Math.abs((uv[j] - uv[i]) * (uv[k + 1] - uv[i + 1]) - (uv[k] - uv[i]) * (uv[j + 1] - uv[i + 1]));
        }
        return sum / 2;
    }
}
