package org.estampage.internal.kernel;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;

/**
 * The padding of the fused box test: whatever {@link WatertightRay} accepts, no box around it is passed by.
 *
 * <p>Rays and boxes are drawn to break it: of all magnitudes down to subnormal ones, flat boxes and points, origins far off or on a box's planes,
 * directions along axes, with components about the cut-off, and rays that just touch a corner of the padded box.
 */
@Tag("vector")
class RayGroupPaddingTest {
    private static final BigDecimal E = new BigDecimal(0x1p-24);

    private final Random random = new Random(20);
    private final WideStream stream = WideKernels.stream(8);
    private final RayGroup group = stream.group;
    private final WatertightRay ray = new WatertightRay();
    /** The place in the group of the ray that is looked at. */
    private int place;
    private final float[] o = new float[3];
    private final float[] d = new float[3];
    /** The triangle's own box, one around it, and one around both: min xyz, max xyz. */
    private final float[] own = new float[6];
    private final float[] middle = new float[6];
    private final float[] tree = new float[6];
    private float tMin;
    private float tMax;
    private int groups;
    private int alone;

    @Test
    void boxAroundAnythingThatTheOwnBoxTestAccepts_isMet() {
        for (int i = 0; i < 300_000; i++) {
            draw();
            if (!ray.set(o[0], o[1], o[2], d[0], d[1], d[2], tMin, tMax, 0)) {
                continue;
            }
            float t = Math.max(enter(ray, own), Math.nextUp(ray.tMin));
            if (enter(ray, own) <= leave(ray, own) && t <= leave(ray, own) && t <= ray.tMax && joinsGroup()) {
                assertMet(t);
            }
        }
        assertThat(groups).isGreaterThan(50_000);
        assertThat(alone).isLessThan(groups);
    }

    @Test
    void boxAroundAHitTriangle_isMet_andTheHitLiesWithinItsOwn() {
        float[] v = new float[9];
        for (int i = 0; i < 300_000; i++) {
            draw();
            triangle(v);
            if (!ray.set(o[0], o[1], o[2], d[0], d[1], d[2], tMin, tMax, 0) || !ray.hit(v, 0, 3, 6, ray.tMax)) {
                continue;
            }
            // So it does not matter that the own-box test is left out where the triangle is no needle.
            if (!(enter(ray, own) <= ray.t && ray.t <= leave(ray, own))) {
                throw new AssertionError(
                        "not in " + enter(ray, own) + " … " + leave(ray, own) + ": " + describe(own, ray.t) + " v " + hex(v));
            }
            if (joinsGroup()) {
                assertMet(ray.t);
            }
        }
        assertThat(groups).isGreaterThan(50_000);
    }

    /** The derivation's own claim, in exact arithmetic: O2 stands farther off than O1 by at least e·|O2| + 3·e·M. */
    @Test
    void paddedOrigins_standApartAsFarAsTheDerivationSays() {
        for (int i = 0; i < 15_000; i++) {
            draw();
            if (!ray.set(o[0], o[1], o[2], d[0], d[1], d[2], tMin, tMax, 0) || !joinsGroup()) {
                continue;
            }
            float reach = ray.reach(own[0], own[1], own[2], own[3], own[4], own[5]);
            float most = ray.reach(tree[0], tree[1], tree[2], tree[3], tree[4], tree[5]);
            float[] inverse = {ray.inverseX, ray.inverseY, ray.inverseZ};
            for (int axis = 0; axis < 3; axis++) {
                if (state(RayGroup.INVERSE + axis) != inverse[axis]) {
                    continue; // cut off: another argument
                }
                float pad = Math.copySign(WatertightRay.pad(reach, o[axis]), inverse[axis]);
                for (int side = -1; side <= 1; side += 2) { // far planes, near planes
                    BigDecimal o1 = new BigDecimal(o[axis] + side * pad);
                    BigDecimal scaled = new BigDecimal(state((side > 0 ? RayGroup.NEAR : RayGroup.FAR) + axis)).negate();
                    // The state holds O2 · inverse, rounded: what it stands for, in exact numbers, is apart from O1 by 3·e·M even so.
                    BigDecimal apart = scaled.subtract(o1.multiply(new BigDecimal(inverse[axis]))).multiply(BigDecimal.valueOf(side));
                    BigDecimal wanted = E.multiply(BigDecimal.valueOf(3)).multiply(new BigDecimal(most))
                            .multiply(new BigDecimal(inverse[axis]).abs());
                    if (apart.compareTo(wanted) < 0) {
                        throw new AssertionError("axis " + axis + " side " + side + ": " + apart.doubleValue() + " is below "
                                + wanted.doubleValue() + " " + describe(tree, 0));
                    }
                }
            }
        }
        assertThat(groups).isGreaterThan(4_000);
    }

    @Test
    void rays_areSetUpAsByTheScalarTwin() {
        float[] odd = {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY, 0f, -0f, Float.MIN_VALUE, Float.MAX_VALUE, 0x1p-100f,
                0x1.fffffep-101f, 0x1p100f, -0x1.000002p100f, 1f};
        WatertightRay taken = new WatertightRay();
        int usable = 0;
        for (int i = 0; i < 60_000; i++) {
            draw();
            for (int k = random.nextInt(3); k > 0; k--) {
                float f = odd[random.nextInt(odd.length)];
                switch (random.nextInt(4)) {
                    case 0 -> o[random.nextInt(3)] = f;
                    case 1 -> d[random.nextInt(3)] = f;
                    case 2 -> tMin = f;
                    default -> tMax = f;
                }
            }
            if (random.nextInt(4) == 0) { // ties
                d[random.nextInt(3)] = Math.copySign(d[random.nextInt(3)], d[random.nextInt(3)]);
            }
            boolean set = ray.set(o[0], o[1], o[2], d[0], d[1], d[2], tMin, tMax, 0);
            joinsGroup();
            assertThat(group.usable >>> place & 1).as(() -> describe(tree, 0)).isEqualTo(set ? 1 : 0);
            if (set) {
                usable++;
                taken.take(group, place);
                assertThat(fields(taken)).as(() -> describe(tree, 0)).isEqualTo(fields(ray));
                assertThat(group.best[place]).isEqualTo(ray.tMax);
                assertThat(group.bestTriangle[place]).isEqualTo(-1);
            }
        }
        assertThat(usable).isGreaterThan(20_000);
    }

    private static List<Object> fields(WatertightRay r) {
        return List.of(r.originX, r.originY, r.originZ, r.inverseX, r.inverseY, r.inverseZ, r.tMin, r.kx, r.ky, r.kz, r.originKx,
                r.originKy,
                r.originKz, r.shearX, r.shearY, r.shearZ);
    }

    /** Puts the ray somewhere in the group and makes it ready; returns whether it need not be walked alone. */
    private boolean joinsGroup() {
        place = random.nextInt(RayGroup.MOST);
        group.originX[place] = o[0];
        group.originY[place] = o[1];
        group.originZ[place] = o[2];
        group.directionX[place] = d[0];
        group.directionY[place] = d[1];
        group.directionZ[place] = d[2];
        group.tMin[place] = tMin;
        group.tMax[place] = tMax;
        stream.prepare(new WideTree(8, new float[0], new float[0], new int[0], 1, tree), place + 1 + random.nextInt(RayGroup.MOST - place));
        boolean joins = (group.odd >>> place & 1) == 0;
        groups += joins ? 1 : 0;
        alone += joins ? 0 : 1;
        return joins;
    }

    private float state(int quantity) {
        return group.state[quantity * RayGroup.MOST + place];
    }

    private void assertMet(float t) {
        for (float[] box : new float[][] {own, middle, tree}) {
            if (!met(box, t)) {
                throw new AssertionError(describe(box, t));
            }
        }
    }

    /** Where the triangle test's padded box is entered; as in its last lines. */
    private static float enter(WatertightRay r, float[] b) {
        float reach = r.reach(b[0], b[1], b[2], b[3], b[4], b[5]);
        float x = WatertightRay.pad(reach, r.originX);
        float y = WatertightRay.pad(reach, r.originY);
        float z = WatertightRay.pad(reach, r.originZ);
        return Math.max(
                Math.max(Math.min((b[0] - (r.originX + x)) * r.inverseX, (b[3] - (r.originX - x)) * r.inverseX),
                        Math.min((b[1] - (r.originY + y)) * r.inverseY, (b[4] - (r.originY - y)) * r.inverseY)),
                Math.min((b[2] - (r.originZ + z)) * r.inverseZ, (b[5] - (r.originZ - z)) * r.inverseZ));
    }

    /** Where it is left. */
    private static float leave(WatertightRay r, float[] b) {
        float reach = r.reach(b[0], b[1], b[2], b[3], b[4], b[5]);
        float x = WatertightRay.pad(reach, r.originX);
        float y = WatertightRay.pad(reach, r.originY);
        float z = WatertightRay.pad(reach, r.originZ);
        return Math.min(
                Math.min(Math.max((b[0] - (r.originX + x)) * r.inverseX, (b[3] - (r.originX - x)) * r.inverseX),
                        Math.max((b[1] - (r.originY + y)) * r.inverseY, (b[4] - (r.originY - y)) * r.inverseY)),
                Math.max((b[2] - (r.originZ + z)) * r.inverseZ, (b[5] - (r.originZ - z)) * r.inverseZ));
    }

    /** The fused box test of the walks with vectors, one lane of it, when the best distance so far is {@code best}. */
    private boolean met(float[] box, float best) {
        int from = Float.floatToRawIntBits(state(RayGroup.T_MIN));
        int to = Float.floatToRawIntBits(best);
        for (int axis = 0; axis < 3; axis++) {
            boolean negative = Float.floatToRawIntBits(d[axis]) < 0; // the group's octant
            float near = box[negative ? 3 + axis : axis];
            float far = box[negative ? axis : 3 + axis];
            float inverse = state(RayGroup.INVERSE + axis);
            from = Math.max(from, Float.floatToRawIntBits(Math.fma(near, inverse, state(RayGroup.NEAR + axis))));
            to = Math.min(to, Float.floatToRawIntBits(Math.fma(far, inverse, state(RayGroup.FAR + axis))));
        }
        return from <= to;
    }

    private void draw() {
        float size = pow(random.nextInt(6) == 0 ? -149 : -60, random.nextInt(6) == 0 ? 100 : 40);
        float away = random.nextInt(3) == 0 ? size * pow(0, 40) : 0;
        float off = size * (random.nextInt(3) == 0 ? pow(0, 30) : 2);
        float length = random.nextInt(3) == 0 ? pow(-99, 99) : 1;
        boolean small = random.nextInt(3) == 0;
        for (int axis = 0; axis < 3; axis++) {
            float extent = switch (random.nextInt(4)) {
                case 0 -> 0;
                case 1 -> size * pow(-30, 0);
                default -> small ? size * 1e-6f : size;
            };
            float low = away * unit() + size * unit();
            own[axis] = low;
            own[3 + axis] = random.nextInt(8) == 0 ? advance(low, random.nextInt(4)) : low + extent * random.nextFloat();
            middle[axis] = random.nextBoolean() ? low : low - size * random.nextFloat();
            middle[3 + axis] = random.nextBoolean() ? own[3 + axis] : own[3 + axis] + size * random.nextFloat();
            float more = size * (random.nextInt(3) == 0 ? pow(0, 20) : 1);
            tree[axis] = random.nextBoolean() ? middle[axis] : middle[axis] - more * random.nextFloat();
            tree[3 + axis] = random.nextBoolean() ? middle[3 + axis] : middle[3 + axis] + more * random.nextFloat();
            o[axis] = switch (random.nextInt(6)) {
                case 0 -> own[axis];
                case 1 -> tree[3 + axis];
                case 2 -> 0;
                default -> low + off * unit();
            };
        }
        // Mostly aims at a corner of the padded box, give or take a few roundings.
        float reach = 0;
        for (int axis = 0; axis < 3; axis++) {
            reach = Math.max(reach, Math.max(Math.abs(own[axis] - o[axis]), Math.abs(own[3 + axis] - o[axis])));
        }
        float most = 0;
        for (int axis = 0; axis < 3; axis++) {
            float pad = WatertightRay.pad(reach, o[axis]);
            float target = switch (random.nextInt(5)) {
                case 0 -> own[axis] + random.nextFloat() * (own[3 + axis] - own[axis]);
                case 1, 2 -> own[axis] - pad;
                default -> own[3 + axis] + pad;
            };
            d[axis] = advance(target - o[axis], random.nextInt(5) - 2);
            most = Math.max(most, Math.abs(d[axis]));
        }
        for (int axis = 0; axis < 3; axis++) {
            d[axis] = d[axis] / most * length;
        }
        if (random.nextInt(3) == 0) { // along an axis, or all but
            int axis = random.nextInt(3);
            float tiny = switch (random.nextInt(4)) {
                case 0 -> 0;
                case 1 -> length * 0x1p-24f;
                case 2 -> length * pow(-30, -20);
                default -> length * pow(-149, 0);
            };
            d[axis] = Math.copySign(advance(tiny, random.nextInt(5) - 2), unit());
            float edge = random.nextBoolean()
                    ? own[axis] - WatertightRay.pad(reach, own[axis])
                    : own[3 + axis] + WatertightRay.pad(reach, own[3 + axis]);
            o[axis] = advance(edge, random.nextInt(9) - 4);
        }
        tMin = random.nextInt(4) == 0 ? Math.abs(reach / length * unit()) : 0;
        tMax = random.nextInt(4) == 0 ? Math.abs(2 * reach / length * unit()) : Float.POSITIVE_INFINITY;
    }

    /** Puts a triangle's corners on the planes of the own box, or within it, and fits the box to it. */
    private void triangle(float[] v) {
        for (int axis = 0; axis < 3; axis++) {
            for (int corner = 0; corner < 3; corner++) {
                v[3 * corner + axis] = switch (random.nextInt(3)) {
                    case 0 -> own[axis];
                    case 1 -> own[3 + axis];
                    default -> Math.min(own[3 + axis], own[axis] + random.nextFloat() * (own[3 + axis] - own[axis]));
                };
            }
            own[axis] = Math.min(Math.min(v[axis], v[3 + axis]), v[6 + axis]);
            own[3 + axis] = Math.max(Math.max(v[axis], v[3 + axis]), v[6 + axis]);
        }
        if (random.nextInt(4) != 0) { // aims at it
            float a = random.nextFloat();
            float b = random.nextInt(3) == 0 ? 0 : (1 - a) * random.nextFloat();
            float most = 0;
            for (int axis = 0; axis < 3; axis++) {
                d[axis] = v[axis] + a * (v[3 + axis] - v[axis]) + b * (v[6 + axis] - v[axis]) - o[axis];
                most = Math.max(most, Math.abs(d[axis]));
            }
            float length = random.nextInt(3) == 0 ? pow(-99, 99) : 1;
            for (int axis = 0; axis < 3; axis++) {
                d[axis] = d[axis] / most * length;
            }
            tMin = 0;
            tMax = Float.POSITIVE_INFINITY;
        }
    }

    private float pow(int least, int most) {
        return (float) Math.pow(2, least + (most - least) * random.nextDouble());
    }

    private float unit() {
        return 2 * random.nextFloat() - 1;
    }

    private static float advance(float f, int steps) {
        float r = f;
        for (int i = 0; i < Math.abs(steps); i++) {
            r = steps > 0 ? Math.nextUp(r) : Math.nextDown(r);
        }
        return r;
    }

    private String describe(float[] box, float t) {
        return "t " + Float.toHexString(t) + " o " + hex(o) + " d " + hex(d) + " ends " + tMin + " " + tMax + " own " + hex(own) + " box "
                + hex(box)
                + " tree " + hex(tree);
    }

    private static String hex(float[] v) {
        StringBuilder s = new StringBuilder();
        for (float f : v) {
            s.append(Float.toHexString(f)).append(' ');
        }
        return s.toString();
    }
}
