package org.estampage.floorplan;

import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.nio.file.Path;
import java.util.List;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

class FloorPlanTest {
    @Test
    void engine_keepsTheFloorPlan() throws Exception {
        Path classesFolder = Path.of(Mesh.class.getProtectionDomain().getCodeSource().getLocation().toURI());
        JavaClasses classes = new ClassFileImporter().withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
                .importPath(classesFolder);
        assertThat(classes.size()).as("classes looked at").isGreaterThan(60);
        assertThat(new FloorPlan("org.estampage").violations(classes)).isEmpty();
    }

    @Test
    void plantedViolations_areAllCaught() {
        JavaClasses planted = new ClassFileImporter().importPackages("org.estampage.floorplan.planted");
        List<String> violations = new FloorPlan("org.estampage.floorplan.planted").violations(planted);
        String root = "org.estampage.floorplan.planted.";
        assertThat(violations).containsExactly(
                root + "attic is in no room of the floor plan",
                root + "image.LooksUp uses jdk.incubator.vector.FloatVector: the Vector API is only for internal.kernel",
                root + "image.LooksUp uses " + root + "mesh.Thing: floor 1 does not see floor 2",
                root + "image.LooksUp uses org.joml.Vector3f: this library is for floor 2 and above",
                root + "maps.Reads uses " + root + "io.Reader: only floor 8 and above see io");
    }
}
