/**
 * What was noticed about data that can still be used: kind, severity, where, what to do.
 *
 * <p>Start reading at {@link org.estampage.finding.Finding}. Does not decide what stops a job: that is for the room that starts it.
 */
@NullMarked
package org.estampage.finding;

import org.jspecify.annotations.NullMarked;
