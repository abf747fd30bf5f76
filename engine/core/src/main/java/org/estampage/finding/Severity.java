package org.estampage.finding;

/** How much a finding matters. */
public enum Severity {
    /** Worth knowing; nothing needs to be done. */
    NOTE,
    /** The result is usable but probably not what was wanted. */
    WARNING,
    /** The result is wrong or missing where the finding says. */
    ERROR
}
