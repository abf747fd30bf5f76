package org.estampage.finding;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import org.junit.jupiter.api.Test;

class FindingsTest {
    @Test
    void emptyList_printsNothing() {
        assertThat(Findings.none()).hasToString("").isEmpty();
    }

    @Test
    void finding_printsWhatWhereAndWhatToDo() {
        Finding finding = Finding.warning("overlapping-uvs", 3, "3 texels are claimed twice", "pack the charts again",
                List.of(new Place.Texel(4, 5), new Place.Texel(6, 5)));
        assertThat(Findings.of(List.of(finding)))
                .hasToString("warning: 3 texels are claimed twice (texel (4, 5), …) → pack the charts again");
    }

    @Test
    void has_countsAtLeastThatSeverity() {
        Findings findings = Findings.of(List.of(Finding.warning("a", 1, "m", "r", List.of())));
        assertThat(findings.has(Severity.NOTE)).isTrue();
        assertThat(findings.has(Severity.WARNING)).isTrue();
        assertThat(findings.has(Severity.ERROR)).isFalse();
    }
}
