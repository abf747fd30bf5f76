package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CancellationException;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.FormatException;
import org.estampage.task.Task;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class AssetSetTest {
    @TempDir
    Path folder;
    private final List<String> worked = new ArrayList<>();
    private final List<Path> written = new ArrayList<>();

    @BeforeEach
    void table() throws IOException {
        Files.createDirectories(folder.resolve("props"));
        for (String asset : List.of("post", "ring", "cap")) {
            Files.writeString(folder.resolve("props/" + asset + "-low.obj"),
                    "mtllib " + asset + ".mtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nusemtl iron\nf 1 2 3\n");
            Files.writeString(folder.resolve("props/" + asset + "-high.obj"), "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n");
            Files.writeString(folder.resolve("props/" + asset + ".mtl"), "newmtl iron\nKd 0.5 0.5 0.5\n");
        }
        Files.writeString(folder.resolve("props.csv"), "asset,low,high,size,fine\r\n"
                + "post,props/post-low.obj,props/post-high.obj,64,yes\r\nring,props/ring-low.obj,props/ring-high.obj,32,no\r\n"
                + "cap,props/cap-low.obj,props/cap-high.obj,16,\r\n");
    }

    private AssetSet set() throws IOException {
        return AssetSet.ofTable(folder.resolve("props.csv")).version("one").engine("one");
    }

    /** Reads both meshes and writes a file, and fails for some. */
    private AssetSet.Work work(String... broken) {
        return asset -> {
            worked.add(asset.name());
            MeshFiles.read(Path.of(asset.low()), Task.silent());
            MeshFiles.read(Path.of(asset.high()), Task.silent());
            if (List.of(broken).contains(asset.name())) {
                throw new IllegalStateException("no UVs");
            }
            written.add(Files.writeString(folder.resolve(asset.name() + ".png"), "map " + asset.whole("size")));
            return null;
        };
    }

    private SetReport run(AssetSet set, AssetSet.Work work) throws IOException {
        worked.clear();
        return set.run(work, () -> {
            List<Path> taken = List.copyOf(written);
            written.clear();
            return taken;
        }, row -> {
        }, Task.silent());
    }

    private static List<SetReport.Status> statuses(SetReport report) {
        return report.rows().stream().map(SetReport.Row::status).toList();
    }

    @Test
    void finishedAssets_arePassedOver_untilSomethingOfThemChanges() throws IOException {
        assertThat(statuses(run(set(), work()))).containsOnly(SetReport.Status.DONE);
        SetReport second = run(set(), work());
        assertThat(worked).isEmpty();
        assertThat(statuses(second)).containsOnly(SetReport.Status.UNCHANGED);
        assertThat(second.rows().get(0).files()).containsExactly(folder.resolve("post.png").toString());

        Files.writeString(folder.resolve("props/ring-high.obj"), "v 0 0 0\nv 2 0 0\nv 0 1 0\nf 1 2 3\n");
        run(set(), work());
        assertThat(worked).containsExactly("ring");
        Files.writeString(folder.resolve("props/cap.mtl"), "newmtl iron\nKd 0.1 0.5 0.5\n"); // named by a file that a column names
        run(set(), work());
        assertThat(worked).containsExactly("cap");
        Files.delete(folder.resolve("post.png"));
        run(set(), work());
        assertThat(worked).containsExactly("post");
        Path table = folder.resolve("props.csv");
        Files.writeString(table, Files.readString(table).replace(",64,", ",128,"));
        run(set(), work());
        assertThat(worked).containsExactly("post");
        run(set().version("two"), work());
        assertThat(worked).hasSize(3);
        run(set().version("two").engine("another"), work());
        assertThat(worked).hasSize(3);
        run(set().again(), work());
        assertThat(worked).hasSize(3);
    }

    @Test
    void workWithoutAVersion_isNeverPassedOver() throws IOException {
        for (int i = 0; i < 2; i++) {
            run(AssetSet.ofTable(folder.resolve("props.csv")).engine("one"), work());
            assertThat(worked).hasSize(3);
        }
    }

    @Test
    void brokenAsset_doesNotStopTheRest_andIsTriedAgain() throws IOException {
        SetReport report = run(set(), work("ring"));
        assertThat(statuses(report)).containsExactly(SetReport.Status.DONE, SetReport.Status.FAILED, SetReport.Status.DONE);
        assertThat(report.hasFailures()).isTrue();
        assertThat(report.rows().get(1).error()).isEqualTo("no UVs");
        assertThat(report.toString()).contains("ring: no UVs");
        assertThat(run(set(), work()).hasFailures()).isFalse();
        assertThat(worked).containsExactly("ring");
    }

    @Test
    void interrupted_goesOnWhereItWas() throws IOException {
        AssetSet.Work first = work();
        assertThatThrownBy(() -> run(set(), asset -> {
            if (asset.name().equals("ring")) {
                throw new CancellationException("cancelled");
            }
            return first.bake(asset);
        })).isInstanceOf(CancellationException.class);
        assertThat(worked).containsExactly("post");
        SetReport report = run(set(), work());
        assertThat(worked).containsExactly("ring", "cap");
        assertThat(statuses(report)).containsExactly(SetReport.Status.UNCHANGED, SetReport.Status.DONE, SetReport.Status.DONE);
    }

    @Test
    void brokenState_isNoState() throws IOException {
        run(set(), work());
        Files.writeString(folder.resolve(".props.csv-state.json"), "{\"post\": {\"print\":");
        run(set(), work());
        assertThat(worked).hasSize(3);
    }

    @Test
    void folder_givesPairsByTheirEnds() throws IOException {
        AssetSet set = AssetSet.ofFolder(folder.resolve("props"));
        assertThat(set.assets()).extracting(Asset::name).containsExactly("cap", "post", "ring");
        assertThat(set.assets().get(1).low()).endsWith("post-low.obj");
        Files.delete(folder.resolve("props/ring-high.obj"));
        assertThatThrownBy(() -> AssetSet.ofFolder(folder.resolve("props"))).isInstanceOf(FormatException.class)
                .hasMessageContaining("ring-low.obj")
                .hasMessageContaining("ring-high");
        assertThatThrownBy(() -> AssetSet.ofFolder(folder.resolve("props"), ".a", ".b")).isInstanceOf(FormatException.class)
                .hasMessageContaining("no pair");
        for (String name : List.of("anchor.obj", "anchor-sculpt.obj")) {
            Files.writeString(folder.resolve(name), "v 0 0 0\n");
        }
        assertThat(AssetSet.ofFolder(folder, "", "-sculpt").assets()).extracting(Asset::name).containsExactly("anchor");
    }

    @Test
    void columns_comeAsWhatTheyAreToBe() throws IOException {
        Asset post = set().assets().get(0);
        assertThat(post.whole("size")).isEqualTo(64);
        assertThat(post.number("size")).isEqualTo(64.0);
        assertThat(post.flag("fine")).isTrue();
        assertThat(set().assets().get(2).flag("fine", true)).isTrue();
        assertThat(post.whole("rays", 16)).isEqualTo(16);
        assertThatThrownBy(() -> post.whole("fine")).isInstanceOf(IllegalArgumentException.class)
                .hasMessage("props.csv:2: column \"fine\" holds \"yes\", must be a whole number");
        assertThatThrownBy(() -> post.text("rays")).hasMessageContaining("is not there").hasMessageContaining("size");
        assertThatThrownBy(() -> post.file("size")).hasMessageContaining("must be a file in");
    }

    @Test
    void brokenTables_areRefusedWithTheirLine() throws IOException {
        Path table = folder.resolve("t.csv");
        for (String[] each : new String[][] {{"low,high\n1,2\n", "t.csv:1"}, {"asset,low\npost\n", "t.csv:2"},
                {"asset,low\np,a\np,b\n", "t.csv:3"},
                {"asset,low\n\"p,a\n", "t.csv:2"}, {"asset,low\np\"q,a\n", "t.csv:2"}, {"asset,low\n\"p\"q,a\n", "t.csv:2"},
                {"asset,asset\na,b\n", "t.csv:1"},
                {"", "t.csv:1"}}) {
            Files.writeString(table, each[0]);
            assertThatThrownBy(() -> AssetSet.ofTable(table)).as(each[0]).isInstanceOf(FormatException.class).hasMessageContaining(each[1]);
        }
        Files.writeString(table, "asset,low\n");
        assertThatThrownBy(() -> AssetSet.ofTable(table)).isInstanceOf(FormatException.class).hasMessageContaining("no assets");
    }

    /** The examples of RFC 4180, section 2, rules 1 to 7. */
    @Test
    void csv_isReadAsTheStandardSays() throws FormatException {
        assertThat(Csv.rows("t", "aaa,bbb,ccc\r\nzzz,yyy,xxx")).extracting(Csv.Row::fields).containsExactly(List.of("aaa", "bbb", "ccc"),
                List.of("zzz", "yyy", "xxx"));
        assertThat(Csv.rows("t", "\"aaa\",\"b \r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n")).extracting(Csv.Row::fields)
                .containsExactly(List.of("aaa", "b \r\nbb", "ccc"), List.of("zzz", "yyy", "xxx"));
        assertThat(Csv.rows("t", "\"aaa\",\"b\"\"bb\",\"ccc\"")).extracting(Csv.Row::fields)
                .containsExactly(List.of("aaa", "b\"bb", "ccc"));
        assertThat(Csv.rows("t", "\ufeffa,\n\nb, c \n")).extracting(Csv.Row::fields).containsExactly(List.of("a", ""), List.of("b", " c "));
        List<String> fields = List.of("plain", "a,b", "say \"x\"", "two\r\nlines", "");
        assertThat(Csv.rows("t", Csv.row(fields))).extracting(Csv.Row::fields).containsExactly(fields);
    }

    @Test
    void report_isWrittenAsTableAndAsJson() throws IOException {
        SetReport report = run(set(), work("ring"));
        report.write(folder.resolve("set.csv"), Task.silent());
        report.write(folder.resolve("set.json"), Task.silent());
        assertThat(Csv.rows("set", Files.readString(folder.resolve("set.csv")))).hasSize(4);
        JsonNode tree = new ObjectMapper().readTree(folder.resolve("set.json").toFile());
        assertThat(tree.path(1).path("status").asText()).isEqualTo("failed");
        assertThatThrownBy(() -> report.write(folder.resolve("set.txt"), Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(".csv or .json");
    }
}
