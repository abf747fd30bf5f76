/** Programs that embed the engine; each is run by a test. Start reading at {@link org.estampage.examples.FirstBake}. */
@NullMarked
package org.estampage.examples;

import org.jspecify.annotations.NullMarked;
