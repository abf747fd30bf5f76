/**
 * Shows what a bake gave as one page that opens from disk: maps, findings, numbers and a view in three dimensions.
 *
 * <p>Obeys: the page asks nothing of any network, and every text in it is escaped, since names come from files. Start reading at
 * {@link org.estampage.report.Report}. Does not judge anew: what it shows was measured elsewhere.
 */
@NullMarked
package org.estampage.report;

import org.jspecify.annotations.NullMarked;
