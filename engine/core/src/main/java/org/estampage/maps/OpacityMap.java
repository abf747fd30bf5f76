package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.Preparation;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

/**
 * How opaque the high poly is: the alpha of its texture, where it is given one; else of its vertices' colours; else of its material; else 1.
 *
 * <p>Of an image the fourth channel is the alpha, or the second of two, or the only one; one of three channels is opaque. An only channel must not be colour,
 * whose decoding is wrong for opacity. It is looked up as in {@link ColourMap}.
 *
 * @units 0 … 1, 1 is opaque
 * @threads immutable
 */
public final class OpacityMap extends TexturedMap<OpacityMap> {

    private OpacityMap(Textures textures) {
        super(textures);
    }

    /** Returns the map of the alpha of the vertices' colours, the fourth component of the first colour set. */
    public static OpacityMap create() {
        return new OpacityMap(Textures.NONE);
    }

    @Override
    OpacityMap with(Textures changed) {
        return new OpacityMap(changed);
    }

    @Override
    FloatImage checked(FloatImage image) {
        if (image.channels() == 1 && image.encoding().kind() == Encoding.Kind.COLOUR) {
            throw new IllegalArgumentException(
                    "texture: an image of one channel must hold opacity as stored, not colour decoded from sRGB");
        }
        return image;
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return textures().calls(MapCall.of("opacity"), "texture").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(textures().recipe(toString()));
    }

    @Override
    public String name() {
        return "opacity";
    }

    @Override
    public SurfaceMap prepared(Preparation preparation) {
        return new Ready(this, preparation.highs(), new TextureLookup(name(), textures(), preparation));
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(0f), 8, true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        throw new IllegalStateException("opacity must be made ready for the high polys first: prepared(…)");
    }

    /** The map of a job's high polys. */
    private static final class Ready extends ReadyMap {
        private final List<Mesh> highs;
        private final TextureLookup textures;

        Ready(OpacityMap map, List<Mesh> highs, TextureLookup textures) {
            super(map);
            notice(textures.findings());
            this.highs = highs;
            this.textures = textures;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            float[] texel = new float[4];
            for (int s = 0; s < hits.size(); s++) {
                int channels = textures.read(hits, s, texel);
                float alpha = channels == 0 ? ownAlpha(hits, s) : channels % 2 == 0 || channels == 1 ? texel[channels - 1] : 1f;
                dest[s] = alpha > 0 ? Math.min(1f, alpha) : 0f;
            }
        }

        private float ownAlpha(SurfaceHits hits, int s) {
            Mesh high = highs.get(hits.highMeshes[s]);
            int t = hits.highTriangles[s];
            if (!high.colourSets().isEmpty() && high.colourSets().get(0).components() == 4) {
                Attribute colours = high.colourSets().get(0);
                int[] entries = colours.indices();
                float b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1f - b1 - b2;
                return b0 * colours.values()[4 * entries[3 * t] + 3] + b1 * colours.values()[4 * entries[3 * t + 1] + 3]
                        + b2 * colours.values()[4 * entries[3 * t + 2] + 3];
            }
            int material = high.materialLabels().map(labels -> labels.of(t)).orElse(-1);
            return material < 0 ? 1f : high.materials().get(material).opacity();
        }
    }
}
