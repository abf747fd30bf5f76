package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.jspecify.annotations.Nullable;

/**
 * An immutable indexed triangle mesh with everything its file brought along.
 *
 * <p>Positions, normals, each UV set, each colour set, tangents and further attributes have index lists of their own, so UV seams and hard edges
 * need no split vertices. Arrays are owned by the mesh after construction and shared with every caller: they must not be changed.
 *
 * @shape positions: xyz interleaved; every index list: one number a triangle corner, corner k of triangle t at 3t + k
 * @space object space, right-handed; triangles counter-clockwise seen from outside; u right, v up
 * @units mesh units
 * @edge vertices that no triangle uses are kept; positions may hold NaN or infinity, which checks report
 * @threads immutable by contract, safe for concurrent calls
 */
public final class Mesh implements MeshSource {
    private static final String UNNAMED = "mesh";

    private final String name;
    private final float[] positions;
    private final int[] positionIndices;
    private final @Nullable Attribute normals;
    private final @Nullable Attribute tangents;
    private final List<Attribute> uvSets;
    private final List<Attribute> colourSets;
    private final List<Attribute> extras;
    private final @Nullable Polygons polygons;
    private final int @Nullable [] smoothingGroups;
    private final List<Part> parts;
    private final Labels partLabels;
    private final List<Material> materials;
    private final @Nullable Labels materialLabels;
    private final @Nullable Labels groupLabels;
    private final Findings findings;
    private final Bounds bounds;

    private Mesh(Builder b) {
        name = b.name;
        positions = b.positions;
        positionIndices = b.positionIndices;
        normals = b.normals;
        tangents = b.tangents;
        uvSets = List.copyOf(b.uvSets);
        colourSets = List.copyOf(b.colourSets);
        extras = List.copyOf(b.extras);
        polygons = b.polygons;
        smoothingGroups = b.smoothingGroups;
        parts = b.parts.isEmpty() ? List.of(new Part(b.name)) : List.copyOf(b.parts);
        partLabels = b.partLabels == null ? new Labels(List.of(parts.get(0).name()), null) : b.partLabels;
        materials = List.copyOf(b.materials);
        materialLabels = b.materialLabels;
        groupLabels = b.groupLabels;
        findings = Findings.of(b.findings);
        if (positions.length % 3 != 0) {
            throw new IllegalArgumentException("positions: " + positions.length + " floats are not a multiple of 3");
        }
        if (positionIndices.length % 3 != 0) {
            throw new IllegalArgumentException("triangles: " + positionIndices.length + " indices are not a multiple of 3");
        }
        checkIndices("positions", positionIndices, positions.length / 3);
        checkAttribute(normals, 3);
        checkAttribute(tangents, 4);
        uvSets.forEach(set -> checkAttribute(set, 2));
        colourSets.forEach(set -> checkAttribute(set, set.components() == 4 ? 4 : 3));
        extras.forEach(extra -> checkAttribute(extra, extra.components()));
        int triangles = triangleCount();
        if (polygons != null && polygons.triangleCount() != triangles) {
            throw new IllegalArgumentException("the polygons make " + polygons.triangleCount() + " triangles, the mesh has " + triangles);
        }
        checkLength("smoothing groups", smoothingGroups == null ? -1 : smoothingGroups.length, triangles);
        checkLength("part numbers", partLabels.length(), triangles);
        checkLength("material numbers", materialLabels == null ? -1 : materialLabels.length(), triangles);
        checkLength("group numbers", groupLabels == null ? -1 : groupLabels.length(), triangles);
        if (partLabels.names().size() != parts.size()) {
            throw new IllegalArgumentException(partLabels.names().size() + " part names for " + parts.size() + " parts");
        }
        bounds = Bounds.of(positions);
    }

    private void checkAttribute(@Nullable Attribute attribute, int components) {
        if (attribute == null) {
            return;
        }
        if (attribute.components() != components) {
            throw new IllegalArgumentException(
                    "attribute " + attribute.name() + " has " + attribute.components() + " components, " + components + " are needed");
        }
        checkLength("indices of attribute " + attribute.name(), attribute.indices().length, positionIndices.length);
    }

    private static void checkLength(String what, int length, int expected) {
        if (length != -1 && length != expected) {
            throw new IllegalArgumentException(what + ": " + length + " are given, " + expected + " are needed");
        }
    }

    static void checkIndices(String what, int[] indices, int count) {
        for (int i = 0; i < indices.length; i++) {
            if (indices[i] < 0 || indices[i] >= count) {
                throw new IllegalArgumentException(
                        what + ": index " + indices[i] + " of triangle " + i / 3 + " must be 0 … " + (count - 1));
            }
        }
    }

    /**
     * Starts a mesh from positions and triangles; both arrays are the mesh's from now on.
     *
     * @param positions       xyz interleaved
     * @param positionIndices three vertex numbers a triangle
     */
    public static Builder builder(float[] positions, int[] positionIndices) {
        return new Builder(positions, positionIndices);
    }

    /** Returns a builder that holds all that this mesh holds. */
    public Builder toBuilder() {
        Builder b = new Builder(positions, positionIndices);
        b.name = name;
        b.normals = normals;
        b.tangents = tangents;
        b.uvSets.addAll(uvSets);
        b.colourSets.addAll(colourSets);
        b.extras.addAll(extras);
        b.polygons = polygons;
        b.smoothingGroups = smoothingGroups;
        b.parts.addAll(parts);
        b.partLabels = partLabels;
        b.materials.addAll(materials);
        b.materialLabels = materialLabels;
        b.groupLabels = groupLabels;
        b.findings.addAll(findings);
        return b;
    }

    @Override
    public Mesh build() {
        return this;
    }

    /** Returns the name, usually the file's. */
    public String name() {
        return name;
    }

    /** Returns what messages call this: {@code mesh bollard}, or {@code the mesh} where nobody named it. */
    public String title() {
        return name.equals(UNNAMED) ? "the mesh" : "mesh " + name;
    }

    /** Returns the positions, xyz interleaved; not to be changed. */
    public float[] positions() {
        return positions;
    }

    /** Returns three vertex numbers a triangle; not to be changed. */
    public int[] positionIndices() {
        return positionIndices;
    }

    /** Returns the number of positions. */
    public int vertexCount() {
        return positions.length / 3;
    }

    /** Returns the number of triangles. */
    public int triangleCount() {
        return positionIndices.length / 3;
    }

    /** Returns the normals, if the file or a computation gave some. They need not have unit length. */
    public Optional<Attribute> normals() {
        return Optional.ofNullable(normals);
    }

    /** Returns given tangents: xyz and w = ±1, bitangent = w · (normal × tangent) in v-up UVs. */
    public Optional<Attribute> tangents() {
        return Optional.ofNullable(tangents);
    }

    /** Returns the UV sets in the file's order; the first is the one that is baked to. */
    public List<Attribute> uvSets() {
        return uvSets;
    }

    /** Returns the colour sets, 3 or 4 components of 0…1, as the file stores them. */
    public List<Attribute> colourSets() {
        return colourSets;
    }

    /** Returns what we only carry along: skin weights, scanner quality and the like. */
    public List<Attribute> extras() {
        return extras;
    }

    /** Returns the polygons that the triangles came from; empty when the file had triangles only. */
    public Optional<Polygons> polygons() {
        return Optional.ofNullable(polygons);
    }

    /** Returns a smoothing group a triangle, 0 for none, or null when the file says nothing of smoothing; not to be changed. */
    public int @Nullable [] smoothingGroups() {
        return smoothingGroups;
    }

    /** Returns the parts; at least one. */
    public List<Part> parts() {
        return parts;
    }

    /** Returns which part each triangle is of. */
    public Labels partLabels() {
        return partLabels;
    }

    /** Returns the materials. */
    public List<Material> materials() {
        return materials;
    }

    /** Returns which material each triangle has, if any; the numbers are those of {@link #materials}. */
    public Optional<Labels> materialLabels() {
        return Optional.ofNullable(materialLabels);
    }

    /** Returns the file's groups where they are something else than its parts. */
    public Optional<Labels> groupLabels() {
        return Optional.ofNullable(groupLabels);
    }

    /** Returns what was noticed while this mesh was read or made. */
    public Findings findings() {
        return findings;
    }

    /** Returns the box around all positions. */
    public Bounds bounds() {
        return bounds;
    }

    /**
     * Returns this mesh with every length multiplied by {@code factor}.
     *
     * @throws IllegalArgumentException if the factor is not finite and positive
     */
    public Mesh unit(double factor) {
        if (!(factor > 0) || Double.isInfinite(factor)) {
            throw new IllegalArgumentException("factor = " + factor + " must be finite and positive");
        }
        float[] scaled = new float[positions.length];
        for (int i = 0; i < scaled.length; i++) {
            scaled[i] = (float) (positions[i] * factor);
        }
        Builder b = toBuilder();
        b.positions = scaled;
        return b.build();
    }

    /**
     * Returns this mesh turned so that what its file calls up becomes +Y; Y itself changes nothing. Normals and tangents turn along.
     *
     * @param axis the axis that points up in the file
     */
    public Mesh up(Axis axis) {
        if (axis == Axis.Y) {
            return this;
        }
        Builder b = toBuilder();
        b.positions = turned(positions, 3, axis);
        if (normals != null) {
            b.normals = new Attribute(normals.name(), 3, turned(normals.values(), 3, axis), normals.indices(), normals.storage());
        }
        if (tangents != null) {
            b.tangents = new Attribute(tangents.name(), 4, turned(tangents.values(), 4, axis), tangents.indices(), tangents.storage());
        }
        return b.build();
    }

    /**
     * Returns this mesh's mirror image, seen from the same side: one coordinate is negated, of normals and tangents too, and every triangle and polygon
     * turned over, so that what was outside stays outside. Mirroring twice gives the same mesh. UVs stay where they are, so charts that could be read
     * are in mirror writing now, and the other way round.
     *
     * @param axis the axis along which the mesh is mirrored
     * @cost O(size of the mesh)
     */
    public Mesh mirrored(Axis axis) {
        Builder b = toBuilder();
        b.positions = negated(positions, 3, axis.component());
        b.positionIndices = turnedOver(positionIndices);
        b.normals = normals == null ? null : turnedOver(normals, negated(normals.values(), 3, axis.component()));
        // A reflection turns the cross product of two vectors that it reflects: w, which says on which side of it the bitangent lies, changes sign.
        b.tangents = tangents == null ? null : turnedOver(tangents, negated(negated(tangents.values(), 4, axis.component()), 4, 3));
        b.uvSets.replaceAll(set -> turnedOver(set, set.values()));
        b.colourSets.replaceAll(set -> turnedOver(set, set.values()));
        b.extras.replaceAll(extra -> turnedOver(extra, extra.values()));
        b.polygons = polygons == null ? null : polygons.turnedOver();
        return b.build();
    }

    private static float[] negated(float[] values, int stride, int component) {
        float[] out = values.clone();
        for (int i = component; i < out.length; i += stride) {
            out[i] = -out[i];
        }
        return out;
    }

    private static Attribute turnedOver(Attribute attribute, float[] values) {
        return new Attribute(attribute.name(), attribute.components(), values, turnedOver(attribute.indices()), attribute.storage());
    }

    private static int[] turnedOver(int[] ofCorner) {
        int[] out = new int[ofCorner.length];
        for (int c = 0; c < out.length; c++) {
            out[c] = ofCorner[Polygons.turnedOver(c)];
        }
        return out;
    }

    private static float[] turned(float[] values, int stride, Axis up) {
        float[] out = values.clone();
        for (int i = 0; i < out.length; i += stride) {
            float x = values[i], y = values[i + 1], z = values[i + 2];
            if (up == Axis.Z) { // a quarter turn about X: (x, y, z) → (x, z, −y)
                out[i + 1] = z;
                out[i + 2] = -y;
            } else { // a quarter turn about Z: (x, y, z) → (−y, x, z)
                out[i] = -y;
                out[i + 1] = x;
            }
        }
        return out;
    }

    @Override
    public String toString() {
        StringBuilder s = new StringBuilder(name).append(": ").append(triangleCount()).append(" triangles, ").append(vertexCount())
                .append(" vertices");
        if (!uvSets.isEmpty()) {
            s.append(", ").append(uvSets.size()).append(uvSets.size() == 1 ? " UV set" : " UV sets");
        }
        if (parts.size() > 1) {
            s.append(", ").append(parts.size()).append(" parts");
        }
        return s.toString();
    }

    /** Collects what a mesh will hold. Arrays that are handed over must not be changed afterwards. */
    public static final class Builder implements MeshSource {
        private String name = UNNAMED;
        private float[] positions;
        private int[] positionIndices;
        private @Nullable Attribute normals;
        private @Nullable Attribute tangents;
        private final List<Attribute> uvSets = new ArrayList<>();
        private final List<Attribute> colourSets = new ArrayList<>();
        private final List<Attribute> extras = new ArrayList<>();
        private @Nullable Polygons polygons;
        private int @Nullable [] smoothingGroups;
        private final List<Part> parts = new ArrayList<>();
        private @Nullable Labels partLabels;
        private final List<Material> materials = new ArrayList<>();
        private @Nullable Labels materialLabels;
        private @Nullable Labels groupLabels;
        private final List<Finding> findings = new ArrayList<>();

        private Builder(float[] positions, int[] positionIndices) {
            this.positions = Objects.requireNonNull(positions, "positions");
            this.positionIndices = Objects.requireNonNull(positionIndices, "positionIndices");
        }

        /** Sets the name. */
        public Builder name(String value) {
            name = Objects.requireNonNull(value, "name");
            return this;
        }

        /** Sets the positions; for moved copies of a mesh. */
        public Builder positions(float[] xyz) {
            positions = Objects.requireNonNull(xyz, "xyz");
            return this;
        }

        /** Sets or removes the normals (3 components). */
        public Builder normals(@Nullable Attribute value) {
            normals = value;
            return this;
        }

        /** Sets or removes given tangents (4 components). */
        public Builder tangents(@Nullable Attribute value) {
            tangents = value;
            return this;
        }

        /** Adds a UV set (2 components). */
        public Builder uvSet(Attribute value) {
            uvSets.add(Objects.requireNonNull(value, "value"));
            return this;
        }

        /** Removes all UV sets. */
        public Builder noUvSets() {
            uvSets.clear();
            return this;
        }

        /** Adds a colour set (3 or 4 components). */
        public Builder colourSet(Attribute value) {
            colourSets.add(Objects.requireNonNull(value, "value"));
            return this;
        }

        /** Adds an attribute that is only carried along. */
        public Builder extra(Attribute value) {
            extras.add(Objects.requireNonNull(value, "value"));
            return this;
        }

        /** Sets the polygons that the triangles came from. */
        public Builder polygons(@Nullable Polygons value) {
            polygons = value;
            return this;
        }

        /** Sets a smoothing group a triangle. */
        public Builder smoothingGroups(int @Nullable [] value) {
            smoothingGroups = value;
            return this;
        }

        /** Sets the parts and which triangle is of which; {@code ofTriangle} may be null when there is one part. */
        public Builder parts(List<Part> value, int @Nullable [] ofTriangle) {
            Labels labels = new Labels(value.stream().map(Part::name).toList(), ofTriangle);
            parts.clear();
            parts.addAll(value);
            partLabels = labels;
            return this;
        }

        /** Sets the materials and which triangle has which; {@code ofTriangle} may be null when there is one material. */
        public Builder materials(List<Material> value, int @Nullable [] ofTriangle) {
            Labels labels = new Labels(value.stream().map(Material::name).toList(), ofTriangle);
            materials.clear();
            materials.addAll(value);
            materialLabels = labels;
            return this;
        }

        /** Sets groups that are something else than parts. */
        public Builder groups(@Nullable Labels value) {
            groupLabels = value;
            return this;
        }

        /** Adds what was noticed. */
        public Builder findings(List<Finding> more) {
            findings.addAll(more);
            return this;
        }

        /**
         * Returns the mesh.
         *
         * @throws IllegalArgumentException if an index is out of range or lengths don't fit together; the message says which
         */
        @Override
        public Mesh build() {
            return new Mesh(this);
        }
    }

    /** Returns whether both meshes hold the same numbers, names and polygons; findings don't count. */
    public boolean sameAs(Mesh o) {
        return Arrays.equals(positions, o.positions) && Arrays.equals(positionIndices, o.positionIndices) && same(normals, o.normals)
                && same(tangents, o.tangents) && same(uvSets, o.uvSets) && same(colourSets, o.colourSets) && same(extras, o.extras)
                && Arrays.equals(smoothingGroups, o.smoothingGroups) && partLabels.names().equals(o.partLabels.names())
                && samePolygons(polygons, o.polygons) && materials.equals(o.materials);
    }

    private static boolean same(List<Attribute> a, List<Attribute> b) {
        if (a.size() != b.size()) {
            return false;
        }
        for (int i = 0; i < a.size(); i++) {
            if (!same(a.get(i), b.get(i))) {
                return false;
            }
        }
        return true;
    }

    private static boolean same(@Nullable Attribute a, @Nullable Attribute b) {
        if (a == null || b == null) {
            return a == b;
        }
        return a.components() == b.components() && Arrays.equals(a.values(), b.values()) && Arrays.equals(a.indices(), b.indices());
    }

    private static boolean samePolygons(@Nullable Polygons a, @Nullable Polygons b) {
        if (a == null || b == null) {
            return a == b;
        }
        if (a.count() != b.count()) {
            return false;
        }
        for (int p = 0; p < a.count(); p++) {
            if (a.cornerCount(p) != b.cornerCount(p)) {
                return false;
            }
            for (int c = 0; c < a.cornerCount(p); c++) {
                if (a.corner(p, c) != b.corner(p, c)) {
                    return false;
                }
            }
        }
        return true;
    }
}
