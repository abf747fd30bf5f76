package org.estampage.bake;

/** How the samples of a texel become one value; means are over those that the job's {@link TexelFilter} takes. */
public enum Reduction {
    /** The mean over the samples that hit; for a map with hemisphere queries each sample weighs as much as it got rays of the first query. */
    MEAN,
    /** The mean as above, brought to unit length. */
    NORMALISED_MEAN,
    /** The most frequent value, the smaller one of equals; for identifiers. */
    MAJORITY,
    /** The sum over the samples that hit, divided by all samples of a texel, in a chart or not; for coverage. */
    FRACTION
}
