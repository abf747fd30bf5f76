package org.estampage.lowpoly;

/**
 * The polyline of a given number of points that follows a profile best, with its ends at the profile's ends.
 *
 * <p>What is least: the squared distance between profile and polyline, summed along the profile's length. To first order that is
 * Σ (difference of radii)² ÷ √(1 + slope²) over the levels. A tiny term for uneven spacing decides where the fit does not: it weighs as much as a
 * fit that is 3 in 10,000 of the largest radius off.
 *
 * <p>For given heights the best radii are a linear problem. The heights are first found by dynamic programming, once over polylines whose points
 * lie on the profile, which is good at steps and corners, and once over straight pieces that need not meet, which is not led astray by ripples.
 * Each of these and even spacing is then improved, one point at a time, until no move of a point helps; the best of the three stays.
 *
 * @source Bellman, On the Approximation of Curves by Line Segments Using Dynamic Programming, 1961 (from memory): pieces that need not meet
 */
final class ProfileFit {
    private static final double EVENNESS = 1e-7;
    /** Stops what would be done long before. */
    private static final int MAX_SWEEPS = 50;
    /** The smallest radius of a ring, in shares of the largest radius of the profile: a ring is a circle, never a point. */
    static final double SMALLEST = 0.01;

    /**
     * How much a point with a given height holds to the profile there, beside one level's weight of about 1: it decides alone where no level is
     * near, and elsewhere moves nothing that a float would show.
     */
    private static final double HOLD = 1e-6;

    /** Rising heights in levels, from 0 to the last one. */
    final double[] level;
    /** One radius a point; 0 at a pole. */
    final double[] radius;

    private ProfileFit(double[] level, double[] radius) {
        this.level = level;
        this.radius = radius;
    }

    /**
     * Fits a polyline, heights and all.
     *
     * @param profile radii at evenly spaced heights, at least one above 0
     * @param height  the length from the first to the last of them
     * @param points  how many points the polyline has, 2 and one more for each pole … the number of radii
     * @param poles   which ends run to a point on the line
     * @cost time O(levels² · (points + sweeps)), memory O(levels² + levels · points)
     */
    static ProfileFit of(Profile profile, double height, int points, Poles poles) {
        Scaled scaled = Scaled.of(profile, height);
        double[] best = {};
        double[] radius = {};
        double least = Double.POSITIVE_INFINITY;
        for (double[] start : new double[][] {even(scaled.off.length - 1, points),
                heights(segmentCosts(scaled.r, scaled.weight, true), points),
                heights(segmentCosts(scaled.r, scaled.weight, false), points)}) {
            Radii radii = new Radii(scaled, start, poles, 0);
            double cost = improve(start, radii);
            if (cost < least) {
                least = cost;
                radii.cost();
                best = start;
                radius = radii.solved;
            }
        }
        return scaled.fit(best, radius, poles);
    }

    /**
     * Fits the radii of a polyline whose heights are given.
     *
     * @param level rising heights in levels, from 0 to the last one; they need not be whole
     * @cost O(levels + points)
     */
    static ProfileFit at(Profile profile, double height, double[] level, Poles poles) {
        Scaled scaled = Scaled.of(profile, height);
        Radii radii = new Radii(scaled, level, poles, HOLD);
        radii.cost();
        return scaled.fit(level, radii.solved, poles);
    }

    /**
     * Which ends of a polyline are points on the line that it is turned around.
     *
     * @param low  whether the first point is one
     * @param high whether the last point is one
     */
    record Poles(boolean low, boolean high) {
    }

    /** A profile in shares of its largest radius, with the weight of each level. */
    private static final class Scaled {
        final double largest;
        final double[] r;
        final double[] weight;
        final double mean;
        /** The radii less their mean. */
        final double[] off;

        private Scaled(double largest, double[] r, double[] weight, double mean, double[] off) {
            this.largest = largest;
            this.r = r;
            this.weight = weight;
            this.mean = mean;
            this.off = off;
        }

        static Scaled of(Profile profile, double height) {
            int last = profile.radius.length - 1;
            double largest = 0;
            for (double r : profile.radius) {
                largest = Math.max(largest, r);
            }
            double[] r = new double[last + 1];
            for (int k = 0; k <= last; k++) {
                r[k] = Math.max(SMALLEST, profile.radius[k] / largest);
            }
            double[] weight = new double[last + 1];
            for (int k = 0; k <= last; k++) {
                int before = Math.max(0, k - 1);
                int after = Math.min(last, k + 1);
                double slope = (r[after] - r[before]) * largest / (height * (after - before) / last);
                weight[k] = 1 / Math.sqrt(1 + slope * slope);
            }
            // Hat functions add up to 1, so a constant may be taken off: it keeps what the fit leaves over clear of rounding.
            double mean = 0;
            for (double value : r) {
                mean += value / (last + 1);
            }
            double[] off = new double[last + 1];
            for (int k = 0; k <= last; k++) {
                off[k] = r[k] - mean;
            }
            return new Scaled(largest, r, weight, mean, off);
        }

        /** Returns the radius less the mean at a height between levels. */
        double at(double level) {
            int below = Math.min((int) level, off.length - 2);
            return off[below] + (level - below) * (off[below + 1] - off[below]);
        }

        ProfileFit fit(double[] level, double[] solved, Poles poles) {
            double[] radius = new double[solved.length];
            for (int i = 0; i < radius.length; i++) {
                boolean pole = (i == 0 && poles.low()) || (i == radius.length - 1 && poles.high());
                radius[i] = pole ? 0 : Math.max(SMALLEST, mean + solved[i]) * largest;
            }
            return new ProfileFit(level, radius);
        }
    }

    private static double[] even(int last, int points) {
        double[] level = new double[points];
        for (int i = 0; i < points; i++) {
            level[i] = (int) ((long) i * last / (points - 1));
        }
        return level;
    }

    /** Moves points, in turn, to the level between their neighbours where the cost is least, until none moves; returns the cost. */
    private static double improve(double[] inoutLevel, Radii radii) {
        double cost = radii.cost();
        boolean moved = true;
        for (int sweep = 0; moved && sweep < MAX_SWEEPS; sweep++) {
            moved = false;
            for (int i = 1; i + 1 < inoutLevel.length; i++) {
                double best = inoutLevel[i];
                for (double k = inoutLevel[i - 1] + 1; k < inoutLevel[i + 1]; k++) {
                    radii.move(i, k);
                    double other = radii.cost();
                    if (other < cost) {
                        cost = other;
                        best = k;
                        moved = true;
                    }
                }
                radii.move(i, best);
            }
        }
        return cost;
    }

    /** Returns the levels of the chain of pieces of least cost; equal costs go to the lower level. */
    private static double[] heights(double[][] cost, int points) {
        int last = cost.length - 1;
        double[] best = new double[last + 1];
        System.arraycopy(cost[0], 0, best, 0, last + 1);
        int[][] from = new int[points][last + 1];
        for (int point = 2; point < points; point++) {
            double[] next = new double[last + 1];
            for (int to = point; to <= last; to++) {
                double least = Double.POSITIVE_INFINITY;
                for (int k = point - 1; k < to; k++) {
                    double sum = best[k] + cost[k][to];
                    if (sum < least) {
                        least = sum;
                        from[point][to] = k;
                    }
                }
                next[to] = least;
            }
            best = next;
        }
        double[] level = new double[points];
        level[points - 1] = last;
        for (int point = points - 1; point > 1; point--) {
            level[point - 1] = from[point][(int) level[point]];
        }
        return level;
    }

    /**
     * Returns the cost of a straight piece between each two levels, by sums over all levels below each.
     *
     * @param joined whether the piece goes through the profile at both; otherwise it is the best one
     */
    private static double[][] segmentCosts(double[] r, double[] weight, boolean joined) {
        int last = r.length - 1;
        double[] w = new double[last + 2], wx = new double[last + 2], wxx = new double[last + 2];
        double[] wr = new double[last + 2], wxr = new double[last + 2], wrr = new double[last + 2];
        for (int k = 0; k <= last; k++) {
            double x = (double) k / last;
            w[k + 1] = w[k] + weight[k];
            wx[k + 1] = wx[k] + weight[k] * x;
            wxx[k + 1] = wxx[k] + weight[k] * x * x;
            wr[k + 1] = wr[k] + weight[k] * r[k];
            wxr[k + 1] = wxr[k] + weight[k] * x * r[k];
            wrr[k + 1] = wrr[k] + weight[k] * r[k] * r[k];
        }
        double[][] cost = new double[last + 1][last + 1];
        for (int i = 0; i < last; i++) {
            for (int j = i + 1; j <= last; j++) {
                // Sums over the levels i … j.
                double s = w[j + 1] - w[i], sx = wx[j + 1] - wx[i], sxx = wxx[j + 1] - wxx[i];
                double sr = wr[j + 1] - wr[i], sxr = wxr[j + 1] - wxr[i], srr = wrr[j + 1] - wrr[i];
                // Two levels fit any line; more have a spread, s·sxx − sx² > 0.
                boolean through = joined || j == i + 1;
                double slope = through ? (r[j] - r[i]) / (j - i) * last : (s * sxr - sx * sr) / (s * sxx - sx * sx);
                double foot = through ? r[i] - slope * i / last : (sr - slope * sx) / s;
                // Σ w (r − foot − slope·x)²; rounding may leave a hair below nothing.
                double squares = srr - 2 * foot * sr - 2 * slope * sxr + foot * foot * s + 2 * foot * slope * sx + slope * slope * sxx;
                double length = (double) (j - i) / last;
                cost[i][j] = Math.max(0, squares) / (last + 1) + EVENNESS * length * length;
            }
        }
        return cost;
    }

    /**
     * The radii of least squares at given levels: normal equations of the hat functions, which are tridiagonal. Each piece between two points adds
     * to them on its own, so a moved point costs its two pieces only.
     */
    private static final class Radii {
        private final Scaled profile;
        private final double[] level;
        private final Poles poles;
        private final double hold;
        private final double squares;
        /** Of each piece Σ w·down², Σ w·up·down, Σ w·up², Σ w·down·r, Σ w·up·r, where up grows from 0 to 1 along it and down is the rest. */
        private final double[] piece;
        private final double[] diagonal;
        private final double[] right;
        final double[] solved;

        /**
         * Takes the levels as they are now; {@link #move} changes them.
         *
         * @param hold how much each point holds to the profile's own radius there
         */
        Radii(Scaled profile, double[] inoutLevel, Poles poles, double hold) {
            this.profile = profile;
            level = inoutLevel;
            this.poles = poles;
            this.hold = hold;
            double sum = 0;
            for (int k = 0; k < profile.off.length; k++) {
                sum += profile.weight[k] * profile.off[k] * profile.off[k];
            }
            squares = sum;
            int points = inoutLevel.length;
            piece = new double[5 * (points - 1)];
            diagonal = new double[points];
            right = new double[points];
            solved = new double[points];
            for (int i = 0; i + 1 < points; i++) {
                measure(i);
            }
        }

        void move(int point, double to) {
            level[point] = to;
            measure(point - 1);
            measure(point);
        }

        private void measure(int i) {
            double dd = 0, ud = 0, uu = 0, dr = 0, ur = 0;
            double length = level[i + 1] - level[i];
            // A level at a point counts once, for the piece below it.
            int end = (int) level[i + 1];
            for (int k = i == 0 ? 0 : (int) level[i] + 1; k <= end; k++) {
                double up = (k - level[i]) / length;
                double down = 1 - up;
                double w = profile.weight[k];
                dd += w * down * down;
                ud += w * up * down;
                uu += w * up * up;
                dr += w * down * profile.off[k];
                ur += w * up * profile.off[k];
            }
            piece[5 * i] = dd;
            piece[5 * i + 1] = ud;
            piece[5 * i + 2] = uu;
            piece[5 * i + 3] = dr;
            piece[5 * i + 4] = ur;
        }

        /** Solves for the radii and returns what they leave over. */
        double cost() {
            int points = level.length;
            double uneven = 0;
            for (int i = 0; i < points; i++) {
                diagonal[i] = (i + 1 < points ? piece[5 * i] : 0) + (i > 0 ? piece[5 * i - 3] : 0);
                right[i] = (i + 1 < points ? piece[5 * i + 3] : 0) + (i > 0 ? piece[5 * i - 1] : 0);
                double length = i > 0 ? level[i] - level[i - 1] : 0;
                uneven += length * length;
            }
            if (hold > 0) {
                for (int i = 0; i < points; i++) {
                    diagonal[i] += hold;
                    right[i] += hold * profile.at(level[i]);
                }
            }
            int first = poles.low() ? 1 : 0;
            int last = poles.high() ? points - 2 : points - 1;
            double rest = squares + (poles.low() ? pole(0, 1, 1) : 0) + (poles.high() ? pole(points - 1, points - 2, 5 * points - 9) : 0);
            // Elimination from the low end up; each row then adds right²/diagonal to what the fit explains of the squares.
            double explained = right[first] * right[first] / diagonal[first];
            for (int i = first + 1; i <= last; i++) {
                double factor = piece[5 * i - 4] / diagonal[i - 1];
                diagonal[i] -= factor * piece[5 * i - 4];
                right[i] -= factor * right[i - 1];
                explained += right[i] * right[i] / diagonal[i];
            }
            for (int i = last; i >= first; i--) {
                solved[i] = (right[i] - (i < last ? piece[5 * i + 1] * solved[i + 1] : 0)) / diagonal[i];
            }
            double levels = profile.off.length - 1.0;
            return (rest - explained) / (levels + 1) + EVENNESS * uneven / (levels * levels);
        }

        /** Sets an end's radius to 0, takes it off its neighbour's row, and returns what that alone adds to the squares. */
        private double pole(int i, int neighbour, int shared) {
            double value = -profile.mean;
            solved[i] = value;
            right[neighbour] -= piece[shared] * value;
            return value * (value * diagonal[i] - 2 * right[i]);
        }
    }
}
