/** What users of the engine may rely on: whether the exported packages still hold what they held. */
@NullMarked
package org.estampage.api;

import org.jspecify.annotations.NullMarked;
