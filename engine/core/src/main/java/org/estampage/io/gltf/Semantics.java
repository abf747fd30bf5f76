package org.estampage.io.gltf;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import org.estampage.finding.Severity;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.NotCarried;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/** What glTF calls a mesh's attributes, and what their values must be there. */
final class Semantics {
    static final String POSITION = "POSITION";
    static final String NORMAL = "NORMAL";
    static final String TANGENT = "TANGENT";
    static final String UV = "TEXCOORD_";
    static final String COLOUR = "COLOR_";
    static final String JOINTS = "JOINTS_";
    static final String WEIGHTS = "WEIGHTS_";
    /** The key of a mesh's {@code extras} that holds names which semantics can't say. */
    static final String NAMES = "attributeNames";

    /** How far from 1 a length may be and still counts as unit: what rounding each coordinate to a normalised byte does. */
    private static final double UNIT_TOLERANCE = 1 / 254.0;

    /**
     * An attribute as it is written.
     *
     * @param attribute values as glTF wants them: v down, unit normals, nothing that is not finite
     */
    record Column(String semantic, String name, Attribute attribute, ComponentType type, boolean normalised) {
    }

    private final Mesh mesh;
    private final Notices notices;
    private final NotCarried lost;
    private final List<Column> columns = new ArrayList<>();

    private Semantics(Mesh mesh, Notices notices, NotCarried lost) {
        this.mesh = mesh;
        this.notices = notices;
        this.lost = lost;
    }

    /** Returns the name that a reader gives an attribute which has no name of its own. */
    static String defaultName(String semantic) {
        if (semantic.startsWith(UV)) {
            return "uv" + number(semantic, UV);
        }
        if (semantic.startsWith(COLOUR)) {
            return "colour" + number(semantic, COLOUR);
        }
        return semantic.equals(NORMAL) || semantic.equals(TANGENT) ? semantic.toLowerCase(Locale.ROOT) : semantic;
    }

    private static String number(String semantic, String prefix) {
        String number = semantic.substring(prefix.length());
        return number.equals("0") ? "" : number;
    }

    /** Returns a mesh's attributes as glTF holds them; what it can't hold goes into {@code lost}. */
    static List<Column> of(Mesh mesh, Notices notices, NotCarried lost) {
        return new Semantics(mesh, notices, lost).columns();
    }

    private List<Column> columns() {
        mesh.normals().ifPresent(n -> add(NORMAL, unitLength(n, 3, "normals")));
        if (mesh.normals().isPresent()) {
            mesh.tangents().ifPresent(t -> add(TANGENT, signed(unitLength(t, 4, "tangents"))));
        } else {
            mesh.tangents().ifPresent(t -> lost.add("tangents, since there are no normals", t.name()));
        }
        for (int i = 0; i < mesh.uvSets().size(); i++) {
            add(UV + i, upsideDown(mesh.uvSets().get(i)));
        }
        for (int i = 0; i < mesh.colourSets().size(); i++) {
            add(COLOUR + i, clamped(mesh.colourSets().get(i)));
        }
        addExtras();
        return columns;
    }

    private void add(String semantic, Attribute attribute) {
        boolean normalised = attribute.storage() == Attribute.Storage.UNIT_BYTE || attribute.storage() == Attribute.Storage.UNIT_SHORT;
        columns.add(new Column(semantic, attribute.name(), attribute, ComponentType.of(attribute), normalised));
    }

    private void addExtras() {
        List<Attribute> rest = new ArrayList<>(mesh.extras());
        for (int i = 0;; i++) {
            Attribute joints = skin(JOINTS + i), weights = skin(WEIGHTS + i);
            if (joints == null || weights == null) {
                break;
            }
            add(joints.name(), joints);
            add(weights.name(), finite(weights));
            rest.remove(joints);
            rest.remove(weights);
        }
        Set<String> names = new HashSet<>();
        for (Attribute extra : rest) {
            if (extra.components() > 4) {
                lost.add("attributes of more than four numbers", extra.name());
                continue;
            }
            String name = extra.name().toUpperCase(Locale.ROOT).replaceAll("[^A-Z0-9]+", "_");
            name = name.startsWith("_") ? name : "_" + name;
            while (!names.add(name)) {
                name += "_";
            }
            add(name, finite(extra));
        }
    }

    /** Returns an extra that can be joints or weights of a skin, by its name and type. */
    private @Nullable Attribute skin(String semantic) {
        for (Attribute extra : mesh.extras()) {
            if (extra.name().equals(semantic) && extra.components() == 4) {
                boolean fits = switch (extra.storage()) {
                    case UNSIGNED_BYTE, UNSIGNED_SHORT -> semantic.startsWith(JOINTS);
                    case UNIT_BYTE, UNIT_SHORT, FLOAT -> semantic.startsWith(WEIGHTS);
                    case INTEGER -> false;
                };
                return fits ? extra : null;
            }
        }
        return null;
    }

    /** Returns positions without numbers that are not finite, which glTF forbids. */
    static float[] finitePositions(Mesh mesh, Notices notices) {
        return finite(mesh.positions(), 3, "positions", notices);
    }

    private Attribute finite(Attribute a) {
        return with(a, finite(a.values(), a.components(), "values of " + a.name(), notices), a.storage());
    }

    private static float[] finite(float[] values, int components, String what, Notices notices) {
        float @Nullable [] out = null;
        long count = 0;
        for (int i = 0; i < values.length; i += components) {
            boolean finite = true;
            for (int k = i; k < i + components; k++) {
                if (!Float.isFinite(values[k])) {
                    out = out == null ? values.clone() : out;
                    out[k] = 0;
                    finite = false;
                }
            }
            count += finite ? 0 : 1;
        }
        if (count > 0) {
            notices.add(Severity.WARNING, "not-finite", count,
                    "{count} " + what + " are not finite numbers, which glTF forbids; they were written as 0", "repair the mesh");
        }
        return out == null ? values : out;
    }

    private static Attribute with(Attribute a, float[] values, Attribute.Storage storage) {
        return Arrays.equals(values, a.values()) && storage == a.storage()
                ? a
                : new Attribute(a.name(), a.components(), values, a.indices(), storage);
    }

    /** Returns vectors of unit length; those that nearly have it keep their bits. */
    private Attribute unitLength(Attribute a, int stride, String what) {
        float[] values = a.values();
        float @Nullable [] out = null;
        long count = 0;
        for (int i = 0; i < values.length; i += stride) {
            double x = values[i], y = values[i + 1], z = values[i + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            if (!(Math.abs(length - 1) <= UNIT_TOLERANCE)) {
                out = out == null ? values.clone() : out;
                boolean none = !(length > 0) || Double.isInfinite(length);
                out[i] = none ? stride == 4 ? 1 : 0 : (float) (x / length);
                out[i + 1] = none ? 0 : (float) (y / length);
                out[i + 2] = none ? stride == 4 ? 0 : 1 : (float) (z / length);
                count++;
            }
        }
        if (count > 0) {
            notices.add(Severity.NOTE, "made-unit", count,
                    "{count} " + what
                            + " did not have unit length, which glTF asks for; they were written with it, those without a direction as "
                            + (stride == 4 ? "(1, 0, 0)" : "(0, 0, 1)"),
                    "nothing needs to be done");
        }
        return with(a, out == null ? values : out, Attribute.Storage.FLOAT);
    }

    private static Attribute signed(Attribute tangents) {
        float[] out = tangents.values().clone();
        for (int i = 3; i < out.length; i += 4) {
            out[i] = out[i] < 0 ? -1 : 1;
        }
        return with(tangents, out, tangents.storage());
    }

    private Attribute upsideDown(Attribute uvs) {
        float[] out = finite(uvs.values(), 2, "UVs of " + uvs.name(), notices).clone();
        flip(out, 0, out.length);
        return new Attribute(uvs.name(), 2, out, uvs.indices());
    }

    /** Turns v up into v down, or back. */
    static void flip(float[] inout, int from, int to) {
        for (int i = from + 1; i < to; i += 2) {
            inout[i] = 1 - inout[i];
        }
    }

    private Attribute clamped(Attribute colours) {
        float[] out = finite(colours.values(), colours.components(), "colours of " + colours.name(), notices).clone();
        long count = 0;
        for (int i = 0; i < out.length; i++) {
            if (out[i] < 0 || out[i] > 1) {
                out[i] = Math.clamp(out[i], 0, 1);
                count++;
            }
        }
        if (count > 0) {
            notices.add(Severity.WARNING, "clamped-colours", count,
                    "{count} numbers of colours of " + colours.name() + " are not 0 … 1, which glTF asks for; they were clamped",
                    "scale the colours, or save as PLY to keep them");
        }
        boolean unit = colours.storage() == Attribute.Storage.UNIT_BYTE || colours.storage() == Attribute.Storage.UNIT_SHORT;
        return with(colours, out, unit ? colours.storage() : Attribute.Storage.FLOAT);
    }
}
