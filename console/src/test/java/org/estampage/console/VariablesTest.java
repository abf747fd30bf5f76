package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.Semaphore;
import java.util.concurrent.atomic.AtomicReference;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What variables hold after snippets that came to nothing, and after those that made others anew. Public for the snippets, which call it. */
@Timeout(180) // for machines that are busy
public class VariablesTest {
    private static final Semaphore BEGUN = new Semaphore(0);
    private static final Semaphore GO_ON = new Semaphore(0);
    private static final AtomicReference<Thread> CALLER = new AtomicReference<>(Thread.currentThread());

    @TempDir
    Path folder;
    private final Snippets snippets;

    /** Makes the test; JUnit does. */
    public VariablesTest() {
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream());
        snippets = new Snippets(InputStream.nullInputStream(), nowhere, nowhere);
    }

    /** Waits without an ear for interrupts, and returns a text. */
    public static String deaf() {
        CALLER.set(Thread.currentThread());
        BEGUN.release();
        GO_ON.acquireUninterruptibly();
        return "late";
    }

    /** Tells that it was called, and returns a text. */
    public static String begun() {
        BEGUN.release();
        return "begun";
    }

    @BeforeEach
    void beginSession() {
        PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream());
        Session.setCurrent(new Session(folder, Map.of(), new ProgressLine(nowhere, false), nowhere));
        BEGUN.drainPermits();
        GO_ON.drainPermits();
        run("import static org.estampage.console.VariablesTest.*;");
    }

    @AfterEach
    void endSession() {
        Session.setCurrent(null);
        snippets.close();
    }

    /** Runs snippets that must not fail, and returns what the last gave. */
    private String run(String text) {
        List<String> values = new ArrayList<>();
        for (String rest = text; !rest.isBlank();) {
            var info = snippets.first(rest);
            assertThat(snippets.run(info.source(), null, values)).as(info.source()).isEmpty();
            rest = info.remaining();
        }
        return values.isEmpty() ? "" : values.getLast();
    }

    private void fails(String source) {
        assertThat(snippets.run(source, null, null)).as(source).isPresent();
    }

    private static final List<String> FAILING = List.of("var high = \"rope\".substring(9);", "String high = \"rope\".substring(9);",
            "int high = 1 / 0;",
            "var high = List.of(1 / 0);", "var high = new Object() { int knots = 1 / 0; };", "int high = \"text\";", "Msh high = null;",
            "Msh high = load(\"nowhere\");", "var high = laod(\"nowhere\");", "final int high = 1 / 0;",
            "int low = 1, high = 1 / 0, more = 2;",
            "var high = high.substring(1);");

    @Test
    void declarationThatFails_leavesTheEarlierValue_andWhatWasMadeOfIt() {
        // What is assigned leaves no variable of JShell's own behind, which would be made anew each time.
        run("Object seen; int twice() { return 2 * size + high.length(); }");
        for (String declaration : FAILING) {
            run("var high = \"rope\"; var size = high.length();");
            fails(declaration);
            assertThat(run("seen = high + size + twice();")).as(declaration).isEqualTo("\"rope412\"");
            assertThat(run("high = \"sisal\"; seen = twice();")).as(declaration).isEqualTo("13");
            assertThat(run("var high = \"manila\"; seen = size + high.length();")).as(declaration).isEqualTo("10");
        }
    }

    private static final List<String> KINDS = List.of("int;7", "float;7.0f",
            "boolean;true", "int[][];{{7}}",
            "Map<String, ? extends List<? super Integer>>;Map.of()", "var;new TreeMap<String, List<Integer>>()",
            "var;java.util.concurrent.TimeUnit.DAYS", "var;List.of(1, \"a\")", "Runnable;() -> { }");

    @Test
    void declarationThatFails_leavesAValueOfAnyType_alsoWhereTheNewTypeIsAnother() {
        run("Object seen; <T> T nothingFor(int any) { return null; }");
        for (String kind : KINDS) {
            String[] parts = kind.split(";");
            run(parts[0] + " kept = " + parts[1] + "; Object before = kept;");
            snippets.takeNotes();
            for (String declaration : List.of(parts[0].replaceFirst("^var$", "Object") + " kept = nothingFor(1 / 0);",
                    "String kept = \"rope\".substring(9);")) {
                fails(declaration);
                assertThat(snippets.takeNotes()).as(kind + " " + declaration).containsExactly("kept is still what it was");
                assertThat(run("seen = Objects.equals(before, kept);")).as(kind + " " + declaration).isEqualTo("true");
            }
        }
    }

    @Test
    void declarationThatFails_saysWhatItDidNotTouch_andNothingElse() {
        run("var high = \"rope\"; int size = high.length();");
        assertThat(snippets.takeNotes()).isEmpty();
        fails("var high = \"rope\".substring(9);");
        assertThat(snippets.takeNotes()).containsExactly("high is still what it was");
        assertThat(snippets.takeNotes()).isEmpty();
        fails("var other = \"rope\".substring(9);");
        assertThat(snippets.takeNotes()).isEmpty();
    }

    @Test
    void declarationsOfOneLine_keepWhatThoseBeforeAndBehindTheFailureGave() {
        run("int a = 1, b = 2, c = 3;");
        fails("int a = 10, b = 1 / 0, c = 30;");
        assertThat(snippets.takeNotes()).containsExactly("b is still what it was");
        assertThat(run("List.of(a, b, c).toString()")).isEqualTo("\"[10, 2, 30]\"");
        // The one that is made anew by the one behind it has the value that it got meanwhile.
        run("int a = b, b = 20;");
        assertThat(run("List.of(a, b, c).toString()")).isEqualTo("\"[2, 20, 30]\"");
    }

    @Test
    void newValue_leavesWhatWasMadeOfTheEarlierOne() {
        run("var high = \"rope\"; var low = high.length(); var cage = low + high.length(); low = 5;");
        assertThat(run("var high = \"barnacle\";")).isEqualTo("\"barnacle\"");
        assertThat(run("low + cage")).isEqualTo("13");
        run("int high = 3;"); // low = high.length() is not even Java any more
        assertThat(run("low + cage + high")).isEqualTo("16");
        assertThat(snippets.takeNotes()).isEmpty();
        assertThat(run("int low;")).isEqualTo("0"); // asked for
    }

    @Test
    void declarationsOfOneLine_giveEachItsValue() {
        List<String> values = new ArrayList<>();
        assertThat(snippets.run("int a = 1, b = 2;", null, values)).isEmpty();
        assertThat(values).containsExactly("1", "2");
    }

    @Test
    void valueWhoseTypeIsGone_isSaidToBeLost() {
        run("var knot = new Object() { int turns = 7; };");
        fails("var knot = 1 / 0;");
        assertThat(snippets.takeNotes()).containsExactly("knot has lost its value, whose type is gone");
        run("class Rope { } Rope rope = new Rope(); Object same = rope;");
        run("class Rope { int strands; }");
        assertThat(snippets.takeNotes()).containsExactly("rope has lost its value, whose type is gone");
        assertThat(run("rope == null && same != null")).isEqualTo("true");
        // One of the same type stays, however it is spelt.
        run("var knot = new Object() { int turns = 8; }; knot.turns = 9; Object any = knot;");
        fails("var other = 1 / 0;");
        assertThat(run("knot.turns")).isEqualTo("9");
    }

    @Test
    void declarationThatIsStopped_leavesTheEarlierValue() throws Exception {
        run("var high = \"rope\"; var low = high.length();");
        String endless = "var high = begun().transform(s -> { while (true) { } });";
        assertThat(stopped(endless)).isEmpty();
        assertThat(snippets.takeNotes()).containsExactly("high is still what it was");
        assertThat(run("high + low")).isEqualTo("\"rope4\"");
    }

    @ParameterizedTest
    @ValueSource(strings = {"String high = deaf();", "var high = deaf().length();", "String before = \"b\", high = deaf();"})
    void declarationThatIsLeft_leavesTheEarlierValue_evenWhenItsOwnComesLater(String declaration) throws Exception {
        snippets.leaveWhatDoesNotStop();
        run("var high = \"rope\"; var low = high.length();");
        assertThat(stopped(declaration)).isEmpty();
        assertThat(snippets.takeNotes()).containsExactly("high is still what it was");
        assertThat(run("high + low")).isEqualTo("\"rope4\"");
        GO_ON.release();
        Objects.requireNonNull(CALLER.get(), "nobody called").join();
        assertThat(run("high + low")).isEqualTo("\"rope4\"");
    }

    /** Runs a snippet, and asks it to stop when it has begun. */
    private Optional<Snippets.Failure> stopped(String source) throws Exception {
        CompletableFuture<?> stop = CompletableFuture.runAsync(() -> {
            BEGUN.acquireUninterruptibly();
            snippets.stop();
        });
        Optional<Snippets.Failure> failure = snippets.run(source, null, null);
        stop.get();
        snippets.begin();
        return failure;
    }
}
