package org.estampage.handover;

import java.lang.module.ModuleDescriptor;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/** Which engine made a delivery. */
final class EngineVersion {
    private EngineVersion() {
    }

    /** Returns the engine's name and version; of classes that are not in a jar, which know none, the name alone. */
    static String text() {
        @Nullable
        ModuleDescriptor module = EngineVersion.class.getModule().getDescriptor();
        Optional<String> ofModule = module == null ? Optional.empty() : module.rawVersion();
        Optional<String> version = ofModule.or(() -> Optional.ofNullable(EngineVersion.class.getPackage().getImplementationVersion()));
        return version.map(v -> "Estampage " + v).orElse("Estampage");
    }
}
