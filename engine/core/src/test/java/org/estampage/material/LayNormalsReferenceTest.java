package org.estampage.material;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Values worked out by hand, or with another program in double precision, from the formulas in Barré-Brisebois and Hill, Blending in Detail, 2012. */
class LayNormalsReferenceTest {
    /** Unit vectors in floats and a few operations on them: four units of rounding. */
    private static final double ROUNDING = 2.5e-7;

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
            // base | detail | method | result
            ".6,0,.8 | 0,.6,.8 | REORIENTED | .48,.6,.64", ".2,-.3,1 | -.5,.1,1 | REORIENTED | -.2672612419,-.1781741613,.9470086572",
            ".6,0,.8 | .6,0,.8 | REORIENTED | .96,0,.28", ".6,0,.8 | -.6,0,.8 | REORIENTED | 0,0,1",
            ".6,0,.8 | 0,.6,.8 | XY_ADDED_Z_MULTIPLIED | .5645324471,.5645324471,.6021679436",
            ".2,-.3,1 | -.5,.1,1 | XY_ADDED_Z_MULTIPLIED | -.2866154721,-.2151406839,.9335770227",
            ".6,0,.8 | .6,0,.8 | XY_ADDED_Z_MULTIPLIED | .8823529412,0,.4705882353", ".6,0,.8 | -.6,0,.8 | XY_ADDED_Z_MULTIPLIED | 0,0,1",
            ".6,0,.8 | 0,.6,.8 | XY_ADDED_Z_KEPT | .5144957554,.5144957554,.6859943406",
            ".2,-.3,1 | -.5,.1,1 | XY_ADDED_Z_KEPT | -.2587896365,-.1942539213,.9461994177",
            ".6,0,.8 | .6,0,.8 | XY_ADDED_Z_KEPT | .8320502943,0,.5547001962", ".6,0,.8 | -.6,0,.8 | XY_ADDED_Z_KEPT | 0,0,1",
            // Slopes ¾ and 0, 0 and ¾: (¾, ¾, 1) over √34/4.
            ".6,0,.8 | 0,.6,.8 | SLOPES_ADDED | .5144957554,.5144957554,.6859943406",
            // Slopes (.2, -.3) and (-.5, .1) give (-.3, -.2), over √1.13.
            ".2,-.3,1 | -.5,.1,1 | SLOPES_ADDED | -.2822162606,-.1881441737,.9407208684",
            // (.6, .6, 1.6) over √3.28.
            ".6,0,.8 | 0,.6,.8 | XYZ_ADDED | .3312945782,.3312945782,.8834522086",
            // .6 · (.8·0 …): 0·(.8,0,−.6) + .6·(.6,.8,0) + .8·(.6,0,.8) = (.84, .48, .64), over √1.3456 = 1.16.
            ".6,0,.8 | 0,.6,.8 | XYZ_EXCHANGED | .7241379310,.4137931034,.5517241379",
            // Stored base (.8, .5, .9), detail (.5, .8, .9): 1 − 2·.2·.5 = .8, .8, 1 − 2·.1·.1 = .98: (.6, .6, .96) over √1.6416.
            ".6,0,.8 | 0,.6,.8 | STORED_MULTIPLIED | .4682929057,.4682929057,.7492686492",
            // Stored base (.2, .5, .9), detail as before: 2·.2·.5 = .2, so (−.6, .6, .96).
            "-.6,0,.8 | 0,.6,.8 | STORED_MULTIPLIED | -.4682929057,.4682929057,.7492686492"})
    void laid_isThePublishedFormula(String base, String detail, NormalMethod method, String result) {
        float[] laid = Images.texel(LayNormals.of(normal(base), normal(detail)).method(method).build(), 0, 0);
        double[] expected = numbers(result);
        for (int c = 0; c < 3; c++) {
            assertThat((double) laid[c]).as("component %s", c).isCloseTo(expected[c], within(ROUNDING));
        }
    }

    private static org.estampage.image.FloatImage normal(String text) {
        double[] n = numbers(text);
        return Images.normal(n[0], n[1], n[2]); // of any length: laying takes the direction
    }

    private static double[] numbers(String text) {
        return java.util.Arrays.stream(text.trim().split(",")).mapToDouble(Double::parseDouble).toArray();
    }
}
