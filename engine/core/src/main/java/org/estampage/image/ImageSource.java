package org.estampage.image;

/** An image, or something that can make one: every operation that takes images of any origin takes either. */
public interface ImageSource {
    /** Returns the image; a builder does its work now. */
    FloatImage build();
}
