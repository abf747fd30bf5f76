package org.estampage.examples.server;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;

/** What a mesh of a job is. Its name is also that of its file: nothing else that a client sends is. */
enum MeshRole {
    LOW, CAGE, HIGH, HIGH2, HIGH3, HIGH4, HIGH5, HIGH6, HIGH7, HIGH8;

    /** Returns its name as clients see it. */
    String id() {
        return name().toLowerCase(Locale.ROOT);
    }

    /** Returns whether rays are to meet it. */
    boolean isHigh() {
        return this != LOW && this != CAGE;
    }

    /** Returns the role of a name. */
    static Optional<MeshRole> of(String id) {
        return Arrays.stream(values()).filter(role -> role.id().equals(id)).findFirst();
    }
}
