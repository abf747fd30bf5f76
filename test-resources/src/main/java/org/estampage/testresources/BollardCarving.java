package org.estampage.testresources;

import static org.estampage.testresources.Noise.clamp01;
import static org.estampage.testresources.Noise.mix;
import static org.estampage.testresources.Noise.step;

import java.util.ArrayList;
import java.util.List;

/**
 * The bollard's detail: one height and one colour for every point of its outline.
 *
 * <p>The heights are added up from features; each also says how much paint wears off there and how much dirt and rust gather.
 *
 * @units metres
 * @threads immutable
 */
final class BollardCarving implements TurnedMesh.Carving {
    /** Radius, height, rounding. */
    static final TurnedProfile OUTLINE = new TurnedProfile(0, 0, 0, //
            0.275, 0, 0.009, //
            0.275, 0.052, 0.012, //
            0.168, 0.074, 0.040, //
            0.133, 0.300, 0.600, //
            0.141, 0.500, 0.045, //
            0.222, 0.557, 0.022, //
            0.217, 0.658, 0.068, //
            0.100, 0.710, 0.150, //
            0, 0.7135, 0);

    private static final double TWO_PI = 2 * Math.PI;

    // The underside stays plain: detail begins behind the lower edge's rounding.
    private static final double UNDERSIDE_END = OUTLINE.pieceStart(2);

    private static final double ROPE_START = 0.207;
    private static final double ROPE_PITCH = 0.0275;
    private static final double ROPE_TURNS = 7.35;
    private static final double ROPE_HEIGHT = 0.0115;
    private static final double ROPE_TURN_LENGTH = TWO_PI * 0.143;
    private static final double ROPE_LAY = 0.082;
    private static final int ARC_SINE_STEPS = 2048;
    private static final double[] ARC_SINE = arcSines();

    private static final int BOLTS = 8;
    private static final double BOLT_CIRCLE = 0.226;
    private static final int RIVETS = 18;
    private static final double RIVET_HEIGHT_ON_HEAD = 0.606;
    private static final double RIVET_RADIUS = 0.0105;

    private static final double EMBLEM_SCALE = 0.074;

    private static final int PATCH_COLUMNS = 192;
    private static final int PATCH_ROWS = 96;

    private final double[] barnacleS;
    private final double[] barnacleAngle;
    private final double[] barnacleRadius;
    private final double[] barnacleHeight;
    private final double[] barnacleTurn;
    private final int[][] barnaclesOfPatch = new int[PATCH_COLUMNS * PATCH_ROWS][];

    /** What the features say about one point. */
    private static final class Point {
        double height;
        /** 0 … 1: how much this spot is rubbed. */
        double wear;
        /** 0 … 1: how much this spot is sheltered. */
        double cavity;
        /** 0 … 1: how much of the lighter rope paint, the red band paint is here. */
        double rope;
        double red;
    }

    BollardCarving() {
        List<double[]> barnacles = settleBarnacles();
        int count = barnacles.size();
        barnacleS = new double[count];
        barnacleAngle = new double[count];
        barnacleRadius = new double[count];
        barnacleHeight = new double[count];
        barnacleTurn = new double[count];
        for (int i = 0; i < count; i++) {
            double[] b = barnacles.get(i);
            barnacleS[i] = b[0];
            barnacleAngle[i] = b[1];
            barnacleRadius[i] = b[2];
            barnacleHeight[i] = b[3];
            barnacleTurn[i] = b[4];
            register(i);
        }
    }

    private static double[] arcSines() {
        double[] table = new double[ARC_SINE_STEPS + 2];
        for (int i = 0; i < table.length; i++) {
            table[i] = StrictMath.asin(Math.min(1, 2.0 * i / ARC_SINE_STEPS - 1));
        }
        return table;
    }

    /** Returns arc length, angle, radius, height and turn of every barnacle: clusters of big ones with small ones between. */
    private static List<double[]> settleBarnacles() {
        // Cluster: arc length, angle, spread along the outline, spread around, number.
        double[][] clusters = {{0.425, 0.55, 0.046, 0.060, 120}, {0.372, 5.35, 0.022, 0.060, 75}, {0.455, 3.45, 0.052, 0.044, 105},
                {0.345, 2.10, 0.016, 0.050, 48}, {0.302, 4.35, 0.011, 0.040, 26}, {0.400, 1.35, 0.026, 0.032, 40}};
        List<double[]> settled = new ArrayList<>();
        double[] outline = new double[4];
        int draw = 0;
        for (double[] cluster : clusters) {
            int wanted = (int) cluster[4];
            for (int i = 0; i < wanted * 6 && wanted > 0; i++) {
                double a = draw(draw++) + draw(draw++) + draw(draw++) - 1.5;
                double b = draw(draw++) + draw(draw++) + draw(draw++) - 1.5;
                double s = cluster[0] + 1.6 * a * cluster[2];
                OUTLINE.at(s, outline);
                double angle = cluster[1] + 1.6 * b * cluster[3] / outline[0];
                angle -= TWO_PI * Math.floor(angle / TWO_PI);
                double far = Math.sqrt(a * a + b * b);
                double big = draw(draw++);
                double radius = mix(big * big, 0.0036, 0.0150) * (1.05 - 0.5 * Math.min(1, far));
                if (s < UNDERSIDE_END + 0.02 || outline[1] > ROPE_START - 0.025 || nearBolt(outline[0], angle, radius)
                        || crowded(settled, s, angle, outline[0], radius)) {
                    continue;
                }
                settled.add(new double[] {s, angle, radius, Math.min(0.0095, radius * (0.60 + 0.28 * draw(draw++))), draw(draw++)});
                wanted--;
            }
        }
        return settled;
    }

    private static double draw(int number) {
        return Noise.unit(Noise.hash(number, 11, 5, 41));
    }

    private static boolean nearBolt(double r, double angle, double radius) {
        if (Math.abs(r - BOLT_CIRCLE) > 0.03 + radius) {
            return false;
        }
        double turn = angle * BOLTS / TWO_PI;
        double offset = (turn - Math.floor(turn) - 0.5) * TWO_PI / BOLTS;
        return Math.hypot(offset * BOLT_CIRCLE, r - BOLT_CIRCLE) < 0.023 + radius;
    }

    private static boolean crowded(List<double[]> settled, double s, double angle, double r, double radius) {
        for (double[] other : settled) {
            double around = wrapAngle(angle - other[1]) * r;
            double along = s - other[0];
            double room = 0.72 * (radius + other[2]);
            if (around * around + along * along < room * room) {
                return true;
            }
        }
        return false;
    }

    private static double wrapAngle(double angle) {
        return angle - TWO_PI * Math.rint(angle / TWO_PI);
    }

    private void register(int barnacle) {
        double[] outline = new double[4];
        double reach = 1.35 * barnacleRadius[barnacle];
        double patchLength = OUTLINE.length() / PATCH_ROWS;
        OUTLINE.at(barnacleS[barnacle], outline);
        double reachAngle = reach / Math.max(0.12, outline[0] - reach);
        int row0 = (int) Math.floor((barnacleS[barnacle] - reach) / patchLength);
        int row1 = (int) Math.floor((barnacleS[barnacle] + reach) / patchLength);
        int column0 = (int) Math.floor((barnacleAngle[barnacle] - reachAngle) / TWO_PI * PATCH_COLUMNS);
        int column1 = (int) Math.floor((barnacleAngle[barnacle] + reachAngle) / TWO_PI * PATCH_COLUMNS);
        for (int row = Math.max(0, row0); row <= Math.min(PATCH_ROWS - 1, row1); row++) {
            for (int column = column0; column <= column1; column++) {
                int patch = row * PATCH_COLUMNS + Math.floorMod(column, PATCH_COLUMNS);
                int[] old = barnaclesOfPatch[patch] == null ? new int[0] : barnaclesOfPatch[patch];
                int[] grown = java.util.Arrays.copyOf(old, old.length + 1);
                grown[old.length] = barnacle;
                barnaclesOfPatch[patch] = grown;
            }
        }
    }

    @Override
    public double edgeScale(double s) {
        // Coarse in the middle of the plain underside, fine everywhere else.
        return 1 + 5 * step(UNDERSIDE_END - 0.03, UNDERSIDE_END - 0.16, s);
    }

    @Override
    public void carve(double s, double angle, double[] outline, double x, double z, double[] dest) {
        double r = outline[0];
        double y = outline[1];
        double detail = step(UNDERSIDE_END - 0.004, UNDERSIDE_END + 0.010, s);
        Point p = new Point();
        if (detail > 0) {
            bands(y, r, s, p);
            if (y > ROPE_START - 0.05 && y < ROPE_START + (ROPE_TURNS + 2) * ROPE_PITCH && r < 0.16) {
                rope(angle, y, p);
            }
            if (r > 0.18 && y < 0.08) {
                bolts(angle, r, p);
            } else if (y > 0.55 && r > 0.19) {
                rivets(angle, r, y, p);
            } else if (y > 0.66) {
                emblem(r, x, z, p);
            }
            mouldSeam(angle, r, p);
        }
        iron(x, y, z, detail, p, dest);
        if (detail > 0) {
            barnacles(s, angle, r, x, y, z, dest);
        }
        dest[0] *= detail;
    }

    /** Raised bands on foot, waist and head; worn edges of the outline itself. */
    private static void bands(double y, double r, double s, Point p) {
        if (r < 0.16) {
            // A flat band with a bead on either side below the head.
            double d = Math.abs(y - 0.4585);
            double flat = step(0.0150, 0.0125, d);
            double bead = round((d - 0.0150) / 0.0042);
            p.height += 0.0034 * flat * (1 - bead) + 0.0062 * bead;
            p.wear += 0.9 * bead * bead + 0.25 * step(0.0105, 0.0125, d) * flat;
            p.cavity += 0.8 * step(0.0042, 0.0018, Math.abs(d - 0.0205)) + 0.5 * step(0.0022, 0.0, Math.abs(d - 0.0110));
            p.red = step(0.0118, 0.0108, d);
            // A half-round under the rope.
            double low = round((y - 0.1735) / 0.0075);
            p.height += 0.0062 * low;
            p.wear += 0.7 * low * low * low;
            p.cavity += 0.7 * step(0.0045, 0.0, Math.abs(Math.abs(y - 0.1735) - 0.0085));
        }
        if (r > 0.19 && y > 0.5) {
            // Two ribs around the head, the rivets between them.
            double d = Math.abs(Math.abs(y - RIVET_HEIGHT_ON_HEAD) - 0.0225);
            double rib = round(d / 0.0040);
            p.height += 0.0036 * rib;
            p.wear += 0.75 * rib * rib;
            p.cavity += 0.6 * step(0.0035, 0.0, Math.abs(d - 0.0046));
        }
        if (r > 0.25 && y < 0.08) {
            // A shallow groove turned into the foot's side.
            double groove = round((y - 0.027) / 0.0045);
            p.height -= 0.0024 * groove;
            p.cavity += 0.8 * groove;
        }
        // The outline's own outer edges are rubbed by boots and ropes.
        p.wear += 0.55 * step(0.016, 0.0, Math.abs(s - OUTLINE.pieceStart(3) - 0.008));
        p.wear += 0.40 * step(0.018, 0.0, Math.abs(s - OUTLINE.pieceStart(11) - 0.010));
        p.cavity += 0.45 * step(0.030, 0.0, Math.abs(s - OUTLINE.pieceStart(9) - 0.018));
    }

    /** Returns a half circle's height over −1 … 1, flattened so that its feet are not vertical. */
    private static double round(double x) {
        double q = 1 - x * x;
        return q <= 0 ? 0 : q * (1.35 - 0.35 * q) * 0.5 + 0.5 * Math.sqrt(q) * step(0, 0.35, q);
    }

    /** Three twisted strands, wound around the waist. */
    private static void rope(double angle, double y, Point p) {
        double turn = angle / TWO_PI;
        double v = (y - ROPE_START) / ROPE_PITCH - turn;
        double nearest = Math.rint(v);
        // The ends: only whole windings that the rope has.
        nearest = Math.max(Math.ceil(-turn - 0.02), Math.min(Math.floor(ROPE_TURNS - turn + 0.02), nearest));
        double across = 2 * (v - nearest);
        double t = nearest + turn;
        double beyond = Math.max(0, Math.max(-t, t - ROPE_TURNS)) * ROPE_TURN_LENGTH / (0.5 * ROPE_PITCH);
        double x = Math.sqrt(across * across + beyond * beyond);
        if (x >= 1.3) {
            return;
        }
        p.cavity += 0.9 * step(1.3, 0.96, x);
        if (x >= 1) {
            return;
        }
        double signed = across < 0 ? -x : x;
        double phi = arcSine(0.985 * signed);
        double strand = 3 * (phi / TWO_PI + t * ROPE_TURN_LENGTH / ROPE_LAY);
        double u = 2 * (strand - Math.floor(strand)) - 1;
        double lobe = Math.sqrt(1 - 0.93 * u * u);
        // Yarns run nearly along the rope, which is what the twist of a laid rope comes to.
        double yarn = 11 * phi / Math.PI - 1.9 * u;
        double yarnWave = Math.abs(2 * (yarn - Math.floor(yarn)) - 1);
        double ends = Math.min(t, ROPE_TURNS - t) * ROPE_TURN_LENGTH;
        double whipping = step(0.034, 0.032, ends) * step(0.004, 0.006, ends);
        double twine = ends / 0.0031;
        double twineWave = Math.abs(2 * (twine - Math.floor(twine)) - 1);
        double body = (0.60 + 0.40 * lobe) * (1 - 0.070 * yarnWave);
        body = mix(whipping, body, 1.02 - 0.07 * twineWave * twineWave);
        double section = Math.sqrt(1 - 0.985 * x * x);
        p.height += ROPE_HEIGHT * body * section;
        p.cavity += (1 - whipping) * (0.85 * step(0.66, 1, Math.abs(u)) + 0.16 * yarnWave) + 0.6 * step(0.72, 1, x);
        p.wear += 0.42 * step(0.80, 0.97, body * section);
        p.rope = step(1, 0.97, x);
    }

    private static double arcSine(double x) {
        double at = (x + 1) * (0.5 * ARC_SINE_STEPS);
        int cell = (int) at;
        return mix(at - cell, ARC_SINE[cell], ARC_SINE[cell + 1]);
    }

    /** Hexagon bolts with washers on the foot. */
    private static void bolts(double angle, double r, Point p) {
        int bolt = (int) (angle * BOLTS / TWO_PI);
        double centre = (bolt + 0.5) * TWO_PI / BOLTS;
        double around = (angle - centre) * r;
        double out = r - BOLT_CIRCLE;
        double d = Math.sqrt(around * around + out * out);
        if (d > 0.034) {
            return;
        }
        double turn = TWO_PI * draw(9000 + bolt);
        double cos = StrictMath.cos(turn);
        double sin = StrictMath.sin(turn);
        double a = Math.abs(around * cos + out * sin);
        double b = Math.abs(out * cos - around * sin);
        double hexagon = Math.max(a, 0.5 * a + 0.8660254037844386 * b);
        double washer = step(0.0232, 0.0212, d);
        double head = step(0.0152, 0.0132, hexagon);
        // The chamfer takes the corners off the top.
        double chamfer = clamp01((d - 0.0122) / 0.0046);
        p.height += 0.0026 * washer + head * (0.0092 - 0.0030 * chamfer);
        p.cavity += 0.9 * step(0.0290, 0.0232, d) * (1 - washer) + 0.8 * washer * (1 - head) * step(0.0200, 0.0150, hexagon);
        p.wear += 0.5 * head * step(0.0100, 0.0130, hexagon) + 0.35 * washer * step(0.0195, 0.0210, d);
    }

    /** Round-headed rivets around the head. */
    private static void rivets(double angle, double r, double y, Point p) {
        double turn = angle * RIVETS / TWO_PI;
        double around = (turn - Math.floor(turn) - 0.5) * TWO_PI / RIVETS * r;
        double up = y - RIVET_HEIGHT_ON_HEAD;
        double d = Math.sqrt(around * around + up * up);
        double q = 1 - d * d / (RIVET_RADIUS * RIVET_RADIUS);
        if (q > 0) {
            p.height += 0.0066 * Math.sqrt(q * (1.12 - 0.12 * q));
            p.wear += 0.65 * step(0.45, 0.95, q);
        }
        p.cavity += 0.9 * step(0.0155, RIVET_RADIUS, d) * step(0.008, 0.0100, d);
    }

    /** An anchor within a ring on the top. */
    private static void emblem(double r, double x, double z, Point p) {
        double ring = Math.abs(r - 0.0985) - 0.0030;
        double a = Math.min(ring, EMBLEM_SCALE * anchor(x / EMBLEM_SCALE, -z / EMBLEM_SCALE));
        double raised = step(0.0010, -0.0010, a);
        p.height += 0.0034 * raised;
        p.wear += 0.5 * raised * step(-0.0040, -0.0012, a);
        p.cavity += 0.75 * step(0.0055, 0.0008, a) * (1 - raised);
        p.rope = raised;
    }

    /** Returns about the distance to an anchor's outline, negative inside; it is two units high. */
    private static double anchor(double x, double y) {
        double ax = Math.abs(x);
        double shank = box(ax, y + 0.12, 0.085, 0.72);
        double eye = Math.abs(Math.hypot(x, y - 0.79) - 0.17) - 0.062;
        double stock = box(ax, y - 0.42, 0.43, 0.070);
        double knob = Math.hypot(ax - 0.45, y - 0.42) - 0.105;
        // Arms: the lower part of a circle about (0, 0.02), thicker in the middle.
        double toCentre = Math.hypot(x, y - 0.02);
        double arms = y - 0.02 < -0.30 ? Math.abs(toCentre - 0.80) - (0.075 + 0.03 * step(0.6, 0, ax)) : 1;
        // Flukes: triangles at the arms' ends, their tips up and outwards.
        double fx = ax - 0.70;
        double fy = y + 0.26;
        double fluke = Math.max(Math.max(0.940 * fx + 0.342 * fy - 0.14, -0.766 * fx + 0.643 * fy - 0.155),
                -0.30 * fx - 0.954 * fy - 0.155);
        double crown = Math.max(Math.abs(ax) * 0.8 + 0.6 * Math.abs(y + 0.83) - 0.16, -1);
        return Math.min(Math.min(Math.min(shank, eye), Math.min(stock, knob)), Math.min(Math.min(arms, fluke), crown));
    }

    private static double box(double ax, double y, double halfX, double halfY) {
        double dx = ax - halfX;
        double dy = Math.abs(y) - halfY;
        return Math.max(dx, dy) < 0 ? Math.max(dx, dy) : Math.hypot(Math.max(dx, 0), Math.max(dy, 0));
    }

    /** The ridge that two mould halves leave, filed down here and there. */
    private static void mouldSeam(double angle, double r, Point p) {
        // Not over the rope, nor through the anchor's field.
        if (p.rope > 0 || r < 0.1) {
            return;
        }
        double half = angle / Math.PI + 0.13;
        double d = Math.abs(half - Math.rint(half)) * Math.PI * r;
        double seam = step(0.0017, 0.0, d);
        p.height += 0.0009 * seam;
        p.wear += 0.35 * seam;
    }

    /** Casting skin, pits, paint and rust. */
    private static void iron(double x, double y, double z, double detail, Point p, double[] dest) {
        double broad = Noise.value(17 * x, 17 * y, 17 * z, 1);
        double middle = Noise.value(68 * x, 68 * y, 68 * z, 2);
        double fine = Noise.sum(240 * x, 240 * y, 240 * z, 3, 2);
        double grain = Noise.value(760 * x, 760 * y, 760 * z, 5);
        double height = p.height + 0.0007 * broad + 0.00032 * middle + 0.00020 * fine + 0.00009 * grain;
        // Blowholes come in swarms, and a rope has none.
        double swarm = Noise.value(23 * x, 23 * y + 7, 23 * z, 9);
        double pit = detail > 0 && p.rope < 1 ? (1 - p.rope) * pits(x, y, z, 0.04 + 0.85 * step(0.05, 0.75, swarm + 0.25 * middle)) : 0;
        height -= 0.0011 * pit;

        // Paint is lost where it is rubbed, where noise says so, in pits, and near the wet foot.
        double wet = step(0.20, 0.02, y);
        double chipNoise = Noise.sum(34 * x + 3, 34 * y, 34 * z, 21, 4);
        double loss = 0.62 * chipNoise + 0.46 * Math.min(1.1, p.wear) + 0.14 * wet + 0.22 * pit - 0.10 * p.cavity + 0.10 * broad;
        double bare = step(0.300, 0.318, loss);
        double edge = step(0.270, 0.300, loss) * (1 - bare);
        height -= 0.00038 * bare;
        height += 0.00010 * edge;

        // Rust runs down from sheltered spots and chips in vertical streaks.
        double streakNoise = Noise.sum(120 * x, 7 * y, 120 * z, 31, 2);
        double streak = step(0.18, 0.62, streakNoise + 0.25 * middle) * step(-0.25, 0.35, broad + 0.5 * wet);
        double cavity = Math.min(1, p.cavity);
        double rustInPaint = clamp01(
                0.55 * streak + 0.65 * (1 - 0.6 * p.rope) * cavity * step(-0.5, 0.4, middle + 0.4 * broad) + 0.75 * edge);

        double shade = 1 + 0.10 * middle + 0.06 * fine + 0.05 * broad;
        double red = mix(p.red, mix(p.rope, 0.080, 0.760), 0.520);
        double green = mix(p.red, mix(p.rope, 0.218, 0.660), 0.125);
        double blue = mix(p.red, mix(p.rope, 0.190, 0.470), 0.095);
        // Old paint chalks on top and keeps dirt in hollows.
        double chalk = 0.10 * clamp01(0.5 + chipNoise);
        red = mix(chalk, red, 0.62) * shade * (1 - 0.45 * cavity);
        green = mix(chalk, green, 0.66) * shade * (1 - 0.48 * cavity);
        blue = mix(chalk, blue, 0.62) * shade * (1 - 0.50 * cavity);

        double rustTone = clamp01(0.5 + 0.6 * fine + 0.45 * grain - 0.4 * cavity);
        double rustRed = mix(rustTone, 0.200, 0.480);
        double rustGreen = mix(rustTone, 0.105, 0.262);
        double rustBlue = mix(rustTone, 0.075, 0.140);
        red = mix(0.62 * rustInPaint, red, 0.40);
        green = mix(0.62 * rustInPaint, green, 0.205);
        blue = mix(0.62 * rustInPaint, blue, 0.10);

        // Rubbed iron shines grey on the crests, the rest of the bare metal has rusted.
        double polished = step(0.75, 1.05, p.wear + 0.35 * chipNoise);
        double bareRed = mix(polished, rustRed, 0.42 * shade);
        double bareGreen = mix(polished, rustGreen, 0.405 * shade);
        double bareBlue = mix(polished, rustBlue, 0.395 * shade);
        double pitShade = 1 - 0.35 * pit;
        dest[0] = height;
        dest[1] = mix(bare, red, bareRed) * pitShade;
        dest[2] = mix(bare, green, bareGreen) * pitShade;
        dest[3] = mix(bare, blue, bareBlue) * pitShade;
    }

    /** Returns the depth, 0 … 1, of round pits: at most one a cell of 7 mm, each within reach of its own half of the neighbouring cells. */
    private static double pits(double x, double y, double z, double density) {
        double gx = x * 143 - 0.5;
        double gy = y * 143 - 0.5;
        double gz = z * 143 - 0.5;
        int ix = (int) Math.floor(gx);
        int iy = (int) Math.floor(gy);
        int iz = (int) Math.floor(gz);
        double depth = 0;
        for (int corner = 0; corner < 8; corner++) {
            int cx = ix + (corner & 1);
            int cy = iy + (corner >> 1 & 1);
            int cz = iz + (corner >> 2);
            int h = Noise.hash(cx, cy, cz, 77);
            if (Noise.unit(h) > density) {
                continue;
            }
            int k = Noise.hash(h, 3, 1, 78);
            double radius = 0.16 + 0.22 * Noise.unit(k);
            // Jitter and radius together stay within half a cell, so eight cells are enough.
            double jitter = 0.5 - radius;
            double dx = gx - cx - jitter * (Noise.unit(k * 0x9E3779B1) * 2 - 1);
            double dy = gy - cy - jitter * (Noise.unit(k * 0x85EBCA77) * 2 - 1);
            double dz = gz - cz - jitter * (Noise.unit(k * 0xC2B2AE3D) * 2 - 1);
            double q = 1 - (dx * dx + dy * dy + dz * dz) / (radius * radius);
            if (q > 0) {
                depth = Math.max(depth, step(0, 0.7, q) * (0.5 + radius));
            }
        }
        return depth;
    }

    /** Ridged cones with a crater, grown over whatever is there. */
    private void barnacles(double s, double angle, double r, double x, double y, double z, double[] dest) {
        int row = Math.min(PATCH_ROWS - 1, (int) (s / OUTLINE.length() * PATCH_ROWS));
        int column = Math.min(PATCH_COLUMNS - 1, (int) (angle / TWO_PI * PATCH_COLUMNS));
        int[] here = barnaclesOfPatch[row * PATCH_COLUMNS + column];
        if (here == null) {
            return;
        }
        double top = 0;
        double shell = 0;
        double dark = 0;
        double foot = 0;
        double tone = 0;
        for (int b : here) {
            double along = s - barnacleS[b];
            double around = wrapAngle(angle - barnacleAngle[b]) * r;
            double inverse = 1 / barnacleRadius[b];
            double px = along * inverse;
            double py = around * inverse;
            double d2 = px * px + py * py;
            if (d2 > 1.8) {
                continue;
            }
            double d = Math.sqrt(d2);
            double cos = d < 1e-9 ? 1 : px / d;
            double sin = d < 1e-9 ? 0 : py / d;
            // Powers of a unit complex number are sines and cosines of whole multiples of its angle.
            double turn = TWO_PI * barnacleTurn[b];
            double six = multiple(cos, sin, 6, turn);
            double many = multiple(cos, sin, 17, 2.3 * turn);
            double lobed = d * (1 + 0.055 * six + 0.035 * many);
            foot = Math.max(foot, step(1.3, 0.95, lobed));
            if (lobed >= 1) {
                continue;
            }
            double rim = 0.40 + 0.035 * six;
            double wall = (1 - lobed) / (1 - rim);
            double height;
            double shade;
            double hole = step(rim, rim - 0.10, lobed);
            if (lobed > rim) {
                // Steeper towards the rim, as limpets and barnacles are; ridges fade out at the rim.
                height = wall * (0.72 + 0.28 * wall) + 0.085 * many * wall * (1.1 - wall) * 4 * 0.5
                        - 0.07 * step(0.55, 1, -six) * (1 - wall * 0.4);
                shade = 0.80 + 0.16 * many + 0.10 * wall - 0.20 * step(0.6, 1, -six);
            } else {
                // Two closed plates stand in the crater, a slit between them.
                double slit = Math.abs(px * StrictMath.sin(turn) - py * StrictMath.cos(turn));
                double plates = 0.34 * step(rim, 0.02, lobed) - 0.20 * step(0.055, 0.015, slit);
                height = mix(hole, 1, 0.42 + plates);
                shade = mix(hole, 0.93, 0.48 + 0.75 * plates);
            }
            height = Math.max(0, height) * barnacleHeight[b];
            if (height > top) {
                top = height;
                dark = shade;
                shell = step(1.0, 0.93, lobed);
                tone = Noise.unit(Noise.hash(b, 4, 9, 3));
            }
        }
        dest[0] += top;
        double slime = 0.55 * foot * (1 - shell);
        dest[1] = mix(slime, dest[1], 0.12);
        dest[2] = mix(slime, dest[2], 0.13);
        dest[3] = mix(slime, dest[3], 0.09);
        double grime = 1 + 0.10 * Noise.value(420 * x, 420 * y, 420 * z, 51);
        double light = dark * grime;
        dest[1] = mix(shell, dest[1], light * mix(tone, 0.80, 0.70));
        dest[2] = mix(shell, dest[2], light * mix(tone, 0.765, 0.645));
        dest[3] = mix(shell, dest[3], light * mix(tone, 0.69, 0.55));
    }

    /** Returns the cosine of n times an angle given by cosine and sine, minus a phase. */
    private static double multiple(double cos, double sin, int n, double phase) {
        double re = 1;
        double im = 0;
        double baseRe = cos;
        double baseIm = sin;
        for (int k = n; k > 0; k >>= 1) {
            if ((k & 1) == 1) {
                double t = re * baseRe - im * baseIm;
                im = re * baseIm + im * baseRe;
                re = t;
            }
            double t = baseRe * baseRe - baseIm * baseIm;
            baseIm = 2 * baseRe * baseIm;
            baseRe = t;
        }
        return re * StrictMath.cos(phase) + im * StrictMath.sin(phase);
    }
}
