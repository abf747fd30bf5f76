package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.mesh.Mesh;

/**
 * The radius of a mesh around a line, at evenly spaced heights.
 *
 * <p>The circle at a height is cut into {@value #SECTORS} sectors, and the mesh's largest distance from the line is found in each. A rule makes one
 * radius of these: by default the one that 5 in 100 of them exceed, the outside of the shape, but what sticks out over less than a twentieth of the
 * way round does not count.
 *
 * @shape radius: {@value #LEVELS} + 1 values from the low end to the high end
 * @units mesh units
 */
final class Profile {
    /** Steps of height; a ring may stand at any of them. */
    static final int LEVELS = 1024;
    static final int SECTORS = 128;
    /** Looks at a cut, for each radius of its length: a sector and a radius span about six of them. */
    private static final int STEPS_PER_RADIUS = SECTORS / 6;
    /** The share of the way round in which the outermost radius is not exceeded. */
    static final double OUTERMOST = 0.95;

    final double[] radius;

    private Profile(double[] radius) {
        this.radius = radius;
    }

    /** Makes a profile of given radii; for tests and for whoever has the outline already. */
    static Profile of(double[] radius) {
        return new Profile(radius.clone());
    }

    /** What makes one radius of those around the line at a height. */
    interface Rule {
        /** Returns the radius for some that rise, of which only the first {@code count} hold. */
        double radius(float[] rising, int count);

        /** The one that is not exceeded in a share of the way round: the largest one of that share. */
        static Rule quantile(double share) {
            return new Quantile(share);
        }

        /** The mean around the line. */
        static Rule mean() {
            return new Mean();
        }
    }

    /**
     * The rule of a share. Rules are classes and not lambdas, so that one can be told from another by what it holds.
     *
     * @param share of the way round
     */
    private record Quantile(double share) implements Rule {
        @Override
        public double radius(float[] rising, int count) {
            return rising[(int) (share * (count - 1))];
        }
    }

    /** The rule of the mean. */
    private record Mean() implements Rule {
        @Override
        public double radius(float[] rising, int count) {
            double sum = 0;
            for (int i = 0; i < count; i++) {
                sum += rising[i];
            }
            return sum / count;
        }
    }

    /** Measures a mesh; its triangles must have some height along the line. */
    static Profile of(Mesh mesh, Turning turning, Rule rule) {
        float[] farthest = new float[(LEVELS + 1) * SECTORS];
        Arrays.fill(farthest, -1);
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        AxisFrame frame = turning.frame();
        double perHeight = LEVELS / turning.height();
        double[] x = new double[3];
        double[] y = new double[3];
        double[] level = new double[3];
        for (int t = 0; t < corners.length; t += 3) {
            for (int k = 0; k < 3; k++) {
                int i = 3 * corners[t + k];
                x[k] = frame.a(p[i], p[i + 1], p[i + 2]) - turning.centreA();
                y[k] = frame.b(p[i], p[i + 1], p[i + 2]) - turning.centreB();
                level[k] = (frame.c(p[i], p[i + 1], p[i + 2]) - turning.low()) * perHeight;
                // Corners count for the nearest level, so that small triangles between two levels count.
                reach(farthest, (int) (level[k] + 0.5), x[k], y[k]);
            }
            cut(farthest, x, y, level);
        }
        return new Profile(radii(farthest, rule));
    }

    /** Cuts a triangle with the planes of all levels it crosses. */
    private static void cut(float[] farthest, double[] x, double[] y, double[] level) {
        int low = level[0] <= level[1] ? level[0] <= level[2] ? 0 : 2 : level[1] <= level[2] ? 1 : 2;
        int high = level[0] > level[1] ? level[0] > level[2] ? 0 : 2 : level[1] > level[2] ? 1 : 2;
        if (level[low] == level[high]) {
            return;
        }
        int middle = 3 - low - high;
        int end = (int) Math.floor(level[high]);
        for (int k = (int) Math.ceil(level[low]); k <= end; k++) {
            double s = (k - level[low]) / (level[high] - level[low]);
            double x0 = x[low] + s * (x[high] - x[low]);
            double y0 = y[low] + s * (y[high] - y[low]);
            int from = k < level[middle] ? low : middle;
            int to = k < level[middle] ? middle : high;
            double span = level[to] - level[from];
            double r = span > 0 ? (k - level[from]) / span : 0;
            double x1 = x[from] + r * (x[to] - x[from]);
            double y1 = y[from] + r * (y[to] - y[from]);
            // Between its ends a cut only comes nearer to the line, but it may cross sectors: look at each of them.
            double larger = Math.sqrt(Math.max(x0 * x0 + y0 * y0, x1 * x1 + y1 * y1));
            double length = Math.sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0));
            int steps = larger > 0 ? 1 + (int) (length / larger * STEPS_PER_RADIUS) : 1;
            for (int i = 0; i <= steps; i++) {
                double q = (double) i / steps;
                reach(farthest, k, x0 + q * (x1 - x0), y0 + q * (y1 - y0));
            }
        }
    }

    private static void reach(float[] farthest, int level, double x, double y) {
        int at = Math.max(0, Math.min(LEVELS, level)) * SECTORS + sector(x, y);
        farthest[at] = Math.max(farthest[at], (float) Math.sqrt(x * x + y * y));
    }

    /**
     * Returns the sector of a direction. The angle within an octant is the common parabola through its ends, at most 0.004 radians off: a
     * twelfth of a sector, which only makes the sectors a little uneven.
     */
    private static int sector(double x, double y) {
        double ax = Math.abs(x);
        double ay = Math.abs(y);
        double most = Math.max(ax, ay);
        if (most == 0) {
            return 0;
        }
        double t = Math.min(ax, ay) / most;
        double quarter = t * (0.5 + 0.1738 * (1 - t)); // of a quarter turn; 0.273 · 2/π = 0.1738
        quarter = ay > ax ? 1 - quarter : quarter;
        double turn = x < 0 ? 2 - quarter : quarter;
        turn = y < 0 ? 4 - turn : turn;
        return (int) (turn * (SECTORS / 4)) % SECTORS;
    }

    private static double[] radii(float[] farthest, Rule rule) {
        double[] radius = new double[LEVELS + 1];
        float[] seen = new float[SECTORS];
        int last = -1;
        for (int k = 0; k <= LEVELS; k++) {
            int count = 0;
            for (int s = 0; s < SECTORS; s++) {
                float r = farthest[k * SECTORS + s];
                if (r >= 0) {
                    seen[count++] = r;
                }
            }
            if (count == 0) {
                continue; // nothing at this height: filled from both sides below
            }
            Arrays.sort(seen, 0, count);
            radius[k] = rule.radius(seen, count);
            // The lowest and the highest corner are at the ends, so every gap has two sides.
            for (int g = last + 1; g < k; g++) {
                radius[g] = radius[last] + (radius[k] - radius[last]) * (g - last) / (k - last);
            }
            last = k;
        }
        return radius;
    }
}
