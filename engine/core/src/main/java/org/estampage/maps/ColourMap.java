package org.estampage.maps;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.Preparation;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.image.Srgb;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;

/**
 * The high poly's colour: that of its texture, where it is given one; else of its vertices, interpolated in linear light; else of its material.
 *
 * <p>Textures are looked up through the high poly's first UV set and filtered: where they are finer than the samples of the bake, a sample sees the mean of
 * what lies under it. Images are of linear colour, as {@code ImageFiles.readColour} reads them. Alpha is left out; {@link OpacityMap} has it.
 *
 * @units linear 0 … 1; black where the high poly has no colour
 * @threads immutable
 */
public final class ColourMap extends TexturedMap<ColourMap> {
    private final boolean linear;

    private ColourMap(Textures textures, boolean linear) {
        super(textures);
        this.linear = linear;
    }

    /** Returns the map of the vertices' colours, the first colour set, stored as sRGB: what files with painted vertices usually hold. */
    public static ColourMap create() {
        return new ColourMap(Textures.NONE, false);
    }

    /** Returns the map that takes the vertices' colours as linear light. */
    public ColourMap linear() {
        return new ColourMap(textures(), true);
    }

    @Override
    ColourMap with(Textures changed) {
        return new ColourMap(changed, linear);
    }

    @Override
    FloatImage checked(FloatImage image) {
        if (image.encoding().kind() != Encoding.Kind.COLOUR) {
            throw new IllegalArgumentException("texture: the image is " + image.encoding().kind()
                    + ", it must be COLOUR, linear: read it as colour, which decodes sRGB");
        }
        return image;
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return textures().calls(MapCall.of("colour").option(linear, "linear"), "texture").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(textures().recipe(toString()));
    }

    @Override
    public String name() {
        return "colour";
    }

    @Override
    public SurfaceMap prepared(Preparation preparation) {
        return new Ready(this, preparation.highs(), new TextureLookup(name(), textures(), preparation));
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.COLOUR, new RangeRule.Fixed(List.of(Range.UNIT, Range.UNIT, Range.UNIT)), List.of(0f, 0f, 0f), 8,
                true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        throw new IllegalStateException("colour must be made ready for the high polys first: prepared(…)");
    }

    /** Returns the first three components of colours in linear light, 0 … 1. */
    private float[] light(Attribute colours) {
        float[] codes = new float[256]; // the curve costs a power function, and most files hold bytes
        for (int code = 0; code < codes.length; code++) {
            codes[code] = Srgb.decode(code / 255f);
        }
        float[] out = new float[3 * colours.count()];
        for (int i = 0; i < out.length; i++) {
            float v = colours.values()[i / 3 * colours.components() + i % 3];
            v = v > 0 ? Math.min(1f, v) : 0f; // what is not a number becomes 0, as in files
            int code = Math.round(255f * v);
            out[i] = linear ? v : code / 255f == v ? codes[code] : Srgb.decode(v);
        }
        return out;
    }

    /** The map of a job's high polys. */
    private static final class Ready extends ReadyMap {
        private final TextureLookup textures;
        private final List<Mesh> highs;
        /** For each mesh with colours their values, xyz interleaved; else nothing. */
        private final float[][] values;

        Ready(ColourMap map, List<Mesh> highs, TextureLookup textures) {
            super(map);
            this.textures = textures;
            this.highs = highs;
            values = new float[highs.size()][];
            List<Place> bare = new ArrayList<>();
            for (int m = 0; m < values.length; m++) {
                Mesh high = highs.get(m);
                values[m] = high.colourSets().isEmpty() ? new float[0] : map.light(high.colourSets().get(0));
                if (high.colourSets().isEmpty() && !textures.covers(m) && high.materialLabels().isEmpty()) {
                    bare.add(new Place.Element("high poly", m));
                }
            }
            notice(textures.findings());
            if (!bare.isEmpty()) {
                notice(Finding.warning("no-colour", bare.size(),
                        "colour: " + bare.size() + " high polys have neither vertex colours nor a texture or a material; they are black",
                        "give the map a texture, or paint their vertices", bare));
            }
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            float[] texel = new float[4];
            for (int s = 0; s < hits.size(); s++) {
                int channels = textures.read(hits, s, texel);
                for (int c = 0; c < 3 && channels > 0; c++) {
                    dest[3 * s + c] = texel[channels < 3 ? 0 : c]; // grey is one channel, or two with alpha
                }
                if (channels == 0) {
                    ownColour(hits, s, dest);
                }
            }
        }

        private void ownColour(SurfaceHits hits, int s, float[] dest) {
            int m = hits.highMeshes[s], t = hits.highTriangles[s];
            Mesh high = highs.get(m);
            if (values[m].length > 0) {
                int[] entries = high.colourSets().get(0).indices();
                int p0 = 3 * entries[3 * t], p1 = 3 * entries[3 * t + 1], p2 = 3 * entries[3 * t + 2];
                float b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1f - b1 - b2;
                for (int c = 0; c < 3; c++) {
                    dest[3 * s + c] = b0 * values[m][p0 + c] + b1 * values[m][p1 + c] + b2 * values[m][p2 + c];
                }
                return;
            }
            int material = high.materialLabels().map((Labels labels) -> labels.of(t)).orElse(-1);
            if (material < 0) {
                dest[3 * s] = dest[3 * s + 1] = dest[3 * s + 2] = 0f;
                return;
            }
            Material own = high.materials().get(material);
            dest[3 * s] = own.red();
            dest[3 * s + 1] = own.green();
            dest[3 * s + 2] = own.blue();
        }
    }
}
