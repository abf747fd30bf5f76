package org.estampage.floorplan;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** What is published says the same in the several files that must say it. */
class PublishedTest {
    private static final Path ROOT = Path.of("../..");

    @Test
    void billOfMaterials_hasTheVersionOfTheRest() {
        String version = version("pom.xml", "estampage");
        assertThat(version("bom/pom.xml", "estampage-bom")).isEqualTo(version);
        assertThat(one("<estampage.version>(.*)</estampage.version>", text(ROOT.resolve("examples/embedding/pom.xml")))).isEqualTo(version);
    }

    @Test
    void billOfMaterials_listsEveryModuleThatIsPublishedAsAJar() throws IOException {
        List<String> listed = all("<artifactId>(estampage-[a-z-]+)</artifactId>", "bom/pom.xml").filter(a -> !a.equals("estampage-bom"))
                .sorted().toList();
        assertThat(listed).containsExactly("estampage-console", "estampage-engine", "estampage-test-resources");
        try (Stream<Path> poms = Files.walk(ROOT, 3)) {
            List<String> published = poms
                    .filter(p -> p.endsWith("pom.xml") && !p.toString().contains("target") && !p.toString().contains("embedding"))
                    .map(PublishedTest::text)
                    .filter(pom -> !pom.contains("<packaging>pom</packaging>"))
                    .filter(pom -> !pom.contains("<maven.deploy.skip>true</maven.deploy.skip>"))
                    .map(pom -> one("</parent>\\s*<artifactId>([^<]+)</artifactId>", pom)).sorted().toList();
            assertThat(published).isEqualTo(listed);
        }
    }

    @Test
    void usersDocumentation_knowsTheTagsThatTheCheckKnows() {
        List<String> checked = Pattern.compile("<tag>\\s*<name>(.*?)</name>\\s*<placement>(.*?)</placement>\\s*<head>(.*?)</head>")
                .matcher(text(ROOT.resolve("pom.xml"))).results().map(r -> r.group(1) + ":" + r.group(2) + ":" + r.group(3)).toList();
        assertThat(checked).isNotEmpty();
        assertThat(all("-tag \"(.*)\"", "engine/core/src/javadoc/options").toList()).isEqualTo(checked);
    }

    private static String version(String file, String artifact) {
        return one("<artifactId>" + artifact + "</artifactId>\\s*<version>([^<]+)</version>", text(ROOT.resolve(file)));
    }

    private static String one(String pattern, String text) {
        List<MatchResult> found = Pattern.compile(pattern).matcher(text).results().toList();
        assertThat(found).as(pattern).hasSize(1);
        return found.getFirst().group(1);
    }

    private static Stream<String> all(String pattern, String file) {
        return Pattern.compile(pattern).matcher(text(ROOT.resolve(file))).results().map(r -> r.group(1));
    }

    private static String text(Path file) {
        try {
            return Files.readString(file);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
