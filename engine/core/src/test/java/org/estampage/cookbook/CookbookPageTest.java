package org.estampage.cookbook;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.MatchResult;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;

/** The page of recipes says what the recipes that run say. */
class CookbookPageTest {
    private static final Path SOURCE = Path.of("src/test/java/org/estampage/cookbook/CookbookTest.java");
    private static final Path PAGE = Path.of("../docs/COOKBOOK.md");
    /** With this system property the page is written. */
    private static final String WRITE = "cookbook.write";
    private static final String HEAD = """
            # Cookbook

            Short answers for who embeds the engine. All of them run: this page is made of `engine/core/src/test/java/org/estampage/cookbook/CookbookTest.java`, where the imports stand and what `low`, `high` and `result` are, and the
            build fails if they differ. After a change there, this writes it anew:
            ```
            mvn -o test -pl engine/core -am -Dtest=CookbookPageTest -Dsurefire.failIfNoSpecifiedTests=false -Dcookbook.write=true
            ```
            The artifact is `org.estampage:estampage-engine`, its version comes with the bill of materials `org.estampage:estampage-bom`; the module is `org.estampage.engine`. With `--add-modules jdk.incubator.vector` on the command line it is faster, with the same bits.

            """;
    private static final Pattern RECIPE = Pattern.compile(" {4}/\\*\\*((?:(?!\\*/).)*)\\*/\\s+@Test\\s+void (\\w+)\\(\\)", Pattern.DOTALL);
    private static final Pattern REGION = Pattern.compile("\\n( *)// @start region=\"([\\w-]+)\"\\n(.*?)\\n *// @end", Pattern.DOTALL);
    /** More would not be a recipe. */
    private static final int MOST_LINES = 24;

    private record Recipe(String title, String text, List<String> code) {
        private Recipe {
            code = List.copyOf(code);
        }
    }

    @Test
    void page_isWhatTheRecipesSay() throws IOException {
        String page = page(recipes());
        if (Boolean.getBoolean(WRITE)) {
            Files.writeString(PAGE, page);
        }
        assertThat(Files.readString(PAGE)).as("the page; -D" + WRITE + "=true writes it anew").isEqualTo(page);
    }

    @Test
    void everyRecipe_isShort_andEveryRegionIsOnThePage() throws IOException {
        List<Recipe> recipes = recipes();
        assertThat(recipes).hasSizeGreaterThanOrEqualTo(20);
        assertThat(recipes).allSatisfy(r -> {
            assertThat(r.code()).as(r.title()).isNotEmpty().hasSizeLessThanOrEqualTo(MOST_LINES);
            assertThat(r.text()).as(r.title()).isNotEmpty();
        });
        long regions = REGION.matcher(Files.readString(SOURCE)).results().count();
        long starts = Files.readString(SOURCE).lines().filter(line -> line.contains("// @start region=")).count();
        assertThat(regions).isEqualTo(starts);
        assertThat(recipes.stream().mapToLong(r -> 1 + r.code().stream().filter(String::isEmpty).count()).sum())
                .isGreaterThanOrEqualTo(regions);
    }

    private static List<Recipe> recipes() throws IOException {
        String source = Files.readString(SOURCE);
        List<MatchResult> regions = REGION.matcher(source).results().toList();
        List<Recipe> found = new ArrayList<>();
        Matcher m = RECIPE.matcher(source);
        while (m.find()) {
            String name = m.group(2);
            String comment = m.group(1).lines().map(line -> line.strip().replaceFirst("^\\* ?", "")).collect(Collectors.joining(" "))
                    .strip()
                    .replaceAll("\\{@(?:code|link) (?:[\\w.]*\\.)?([^}]*)\\}", "`$1`");
            int end = comment.indexOf(". ");
            List<String> code = new ArrayList<>();
            for (MatchResult region : regions) {
                if (region.group(2).equals(name) || region.group(2).startsWith(name + "-")) {
                    if (!code.isEmpty()) {
                        code.add("");
                    }
                    String indent = region.group(1);
                    region.group(3).lines()
                            .forEach(line -> code.add(line.startsWith(indent) ? line.substring(indent.length()) : line.strip()));
                }
            }
            found.add(new Recipe(end < 0 ? comment : comment.substring(0, end), end < 0 ? "" : comment.substring(end + 2), code));
        }
        return found;
    }

    private static String page(List<Recipe> recipes) {
        StringBuilder page = new StringBuilder(HEAD);
        for (Recipe r : recipes) {
            page.append("- [").append(r.title()).append("](#").append(anchor(r.title())).append(")\n");
        }
        for (Recipe r : recipes) {
            page.append("\n## ").append(r.title()).append('\n').append(r.text()).append("\n```java\n");
            r.code().forEach(line -> page.append(line).append('\n'));
            page.append("```\n");
        }
        return page.toString();
    }

    /** Returns the name by which a page's heading can be reached, as Markdown's viewers make it: common practice, no source. */
    private static String anchor(String title) {
        return title.toLowerCase(Locale.ROOT).replaceAll("[^\\w -]", "").replace(' ', '-');
    }
}
