package org.estampage.benchmarks;

import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import java.util.stream.Stream;
import jdk.incubator.vector.FloatVector;
import org.estampage.benchmarks.reference.NativeRays;
import org.estampage.benchmarks.reference.NativeScene;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.internal.kernel.Kernels;
import org.jspecify.annotations.Nullable;

/**
 * The command {@code benchmarks/compare}: all of the engine's strategies and all ways of the native reference side by side in one process.
 *
 * <p>Both count both sides of triangles, because the reference knows no facing. Times are processor times of the tracing threads; a ratio is taken in
 * every round, and the median of them is printed with the least and the greatest. Lines in capitals are for machines.
 */
public final class Compare {
    private final CompareOptions options;
    private final PrintStream out;
    private final PrintStream progress;
    private final List<String> lines = new ArrayList<>();
    private boolean agrees = true;

    private Compare(CompareOptions options, PrintStream out, PrintStream progress) {
        this.options = options;
        this.out = out;
        this.progress = progress;
    }

    /** Runs the command; the exit status is 1 where answers are wrong, 2 for arguments that are not understood, 3 where the reference can't be loaded. */
    public static void main(String[] arguments) {
        CompareOptions options;
        try {
            options = CompareOptions.of(arguments);
        } catch (IllegalArgumentException e) {
            System.err.println("compare: " + e.getMessage());
            System.exit(2);
            return;
        }
        System.exit(run(options, System.out, System.err));
    }

    /** Runs the comparison and returns the exit status. */
    static int run(CompareOptions options, PrintStream out, PrintStream progress) {
        Compare compare = new Compare(options, out, progress);
        try {
            compare.header();
            for (int size : options.scenes().contains("column") ? options.sizes() : new int[0]) {
                compare.either(RayScene.column(size));
            }
            for (String name : RayScene.FETCHED) {
                if (options.scenes().contains(name)) {
                    RayScene.fetched(name).ifPresent(compare::either);
                }
            }
            out.println();
            compare.lines.forEach(out::println);
            return compare.agrees ? 0 : 1;
        } catch (UnsatisfiedLinkError e) {
            progress.println("compare: " + e.getMessage() + "; install it with: apt-get install libembree-dev gcc");
            return 3;
        } catch (IllegalStateException e) {
            progress.println("compare: " + e.getMessage());
            return 1;
        }
    }

    private void header() {
        out.println("processor  " + processor() + ", " + Runtime.getRuntime().availableProcessors() + " in use");
        out.println("vectors    " + vectors() + "; " + Kernels.reason());
        out.println("JDK        " + System.getProperty("java.vm.name") + " " + System.getProperty("java.vm.version"));
        out.println("flags      " + String.join(" ", ManagementFactory.getRuntimeMXBean().getInputArguments()));
        out.println("reference  " + reference());
        out.println("facing     both sides count for both: the reference knows no facing");
        if (options.agreement()) {
            return;
        }
        out.println("figures    medians of " + options.rounds() + " rounds, least … greatest, by processor time of the tracing threads");
    }

    private String reference() {
        if (!NativeScene.isNamed()) {
            return "none";
        }
        try (NativeScene scene = NativeScene.build(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2},
                nativeOptions(options.robust()))) {
            return "Embree " + scene.version() + ", quality " + options.quality().name().toLowerCase(Locale.ROOT)
                    + (options.robust() || options.agreement() ? ", robust" : ", not robust")
                    + (options.config().isEmpty() ? "" : ", " + options.config());
        }
    }

    private NativeScene.Options nativeOptions(boolean robust) {
        return new NativeScene.Options(options.quality(), robust, Runtime.getRuntime().availableProcessors(), options.config());
    }

    private static String processor() {
        try (Stream<String> info = Files.lines(Path.of("/proc/cpuinfo"))) {
            return info.filter(line -> line.startsWith("model name")).findFirst().map(line -> line.substring(line.indexOf(':') + 1).strip())
                    .orElse("unknown");
        } catch (IOException e) {
            return System.getProperty("os.arch");
        }
    }

    private static String vectors() {
        if (ModuleLayer.boot().findModule("jdk.incubator.vector").isEmpty()) {
            return "no Vector API";
        }
        return FloatVector.SPECIES_PREFERRED.vectorBitSize() + " bits preferred";
    }

    private void either(RayScene scene) {
        out.printf(Locale.ROOT, "%n== %s, %,d triangles%n", scene.name(), scene.mesh().triangleCount());
        if (options.agreement()) {
            agreement(scene);
        } else {
            race(scene);
        }
    }

    private void agreement(RayScene scene) {
        List<Bvh> tracers = new ArrayList<>();
        for (Contender contender : options.strategies()) {
            say("building " + contender.name());
            tracers.add(contender.build(scene.mesh()));
        }
        try (NativeScene robust = NativeScene.isNamed() ? reference(scene, true) : null) {
            Agreement agreement = new Agreement(scene, tracers, robust);
            agreement.run(options.rays(), done -> say(String.format(Locale.ROOT, "%,d rays", done)));
            out.print(agreement.summary());
            lines.add(agreement.line());
            agrees &= agreement.holds();
        }
    }

    private void race(RayScene scene) {
        Map<String, RayTracer> tracers = new LinkedHashMap<>();
        List<String> work = new ArrayList<>(options.work());
        work.remove("build");
        if (!work.isEmpty()) {
            for (Contender contender : options.strategies()) {
                say("building " + contender.name());
                tracers.put(contender.name(), contender.build(scene.mesh()));
            }
            try (NativeScene reference = NativeScene.isNamed() ? reference(scene, options.robust()) : null) {
                new Races(scene, tracers, reference).run(work);
            }
        }
        tracers.clear();
        if (options.work().contains("build")) {
            BuildRace race = new BuildRace(scene, options.strategies(),
                    NativeScene.isNamed() ? () -> reference(scene, options.robust()) : null, options.rounds());
            race.run(options.warm(), this::say);
            race.print(out, lines);
        }
    }

    private NativeScene reference(RayScene scene, boolean robust) {
        return NativeScene.build(scene.mesh().positions(), scene.mesh().positionIndices(), nativeOptions(robust));
    }

    private void say(String what) {
        progress.println("  … " + what);
    }

    /** The rays of one scene, raced. */
    private final class Races {
        private final RayScene scene;
        private final Map<String, RayTracer> tracers;
        private final @Nullable NativeScene reference;

        Races(RayScene scene, Map<String, RayTracer> tracers, @Nullable NativeScene reference) {
            this.scene = scene;
            this.tracers = tracers;
            this.reference = reference;
        }

        void run(List<String> work) {
            int side = options.side();
            if (work.contains("projection")) {
                closest("projection", side * side, (ray, dest) -> scene.addProjectionRay(ray, side, dest));
            }
            if (work.contains("occlusion") || work.contains("hemispheres") || work.contains("nearest")) {
                HemisphereBatch points = Rays.points(scene, Objects.requireNonNull(tracers.get(options.strategies().getFirst().name())),
                        side / 2);
                say(points.size + " points");
                occlusion(work, points);
                if (work.contains("nearest")) {
                    List<Entry> entries = new ArrayList<>();
                    tracers.forEach((name, tracer) -> entries
                            .add(Entry.nearest("nearest", name, tracer, Rays.near(scene, points, tracer.preferredBatchSize()))));
                    race(entries);
                }
            }
            if (work.contains("incoherent")) {
                closest("incoherent", side * side / 4, Rays.incoherent(scene));
            }
        }

        private void closest(String work, int count, Rays.Source source) {
            List<Entry> entries = new ArrayList<>();
            Map<Integer, RayBatch[]> cuts = new TreeMap<>();
            tracers.forEach((name, tracer) -> {
                RayBatch[] batches = cuts.computeIfAbsent(tracer.preferredBatchSize(), size -> Rays.cut(count, size, source));
                entries.add(Entry.closest(work, name, tracer, Facing.BOTH, batches, options.threads()));
                if (work.equals("projection")) {
                    entries.add(Entry.closest(work + "-front", name, tracer, Facing.FRONT, batches, options.threads()));
                }
            });
            try (NativeRays rays = reference == null ? null : NativeRays.copyOf(Rays.cut(count, count, source))) {
                addReference(entries, work, rays, true);
                race(entries);
            }
        }

        private void occlusion(List<String> work, HemisphereBatch points) {
            List<Entry> entries = new ArrayList<>();
            int count = points.size * ColumnScene.RAYS_PER_POINT;
            Map<Integer, RayBatch[]> cuts = new TreeMap<>();
            tracers.forEach((name, tracer) -> {
                if (work.contains("occlusion")) {
                    RayBatch[] batches = cuts.computeIfAbsent(tracer.preferredBatchSize(),
                            size -> Rays.cut(count, size, Rays.occlusion(points)));
                    entries.add(Entry.any("occlusion", name, tracer, batches, options.threads()));
                }
                if (work.contains("hemispheres")) {
                    entries.add(Entry.hemispheres("hemispheres", name, tracer, ColumnScene.query(),
                            Rays.cut(points, tracer.preferredBatchSize())));
                }
            });
            if (entries.isEmpty()) {
                return;
            }
            try (NativeRays rays = reference == null ? null : NativeRays.copyOf(Rays.cut(count, count, Rays.occlusion(points)))) {
                addReference(entries, "occlusion", rays, false);
                race(entries);
            }
        }

        private void addReference(List<Entry> entries, String work, @Nullable NativeRays rays, boolean closest) {
            if (reference != null && rays != null) {
                for (NativeScene.Mode mode : options.modes()) {
                    entries.add(Entry.reference(work, reference, mode, rays, closest));
                }
            }
        }

        private void race(List<Entry> entries) {
            Entry.Answers[] answers = answers(entries);
            RoundRobin.Times times = RoundRobin.measure(entries, options.rounds(), options.threads(), options.warm(), Compare.this::say);
            new Result(scene, entries, answers, times).print();
        }

        /** Traces everything once; the engine's strategies must have the same bits. */
        private static Entry.Answers[] answers(List<Entry> entries) {
            Map<String, Long> hashes = new TreeMap<>();
            Entry.Answers[] answers = new Entry.Answers[entries.size()];
            for (int i = 0; i < answers.length; i++) {
                Entry entry = entries.get(i);
                answers[i] = entry.answers();
                if (entry.own && hashes.computeIfAbsent(entry.work, work -> answers[entries.indexOf(entry)].hash) != answers[i].hash) {
                    throw new IllegalStateException(entry + " answers otherwise than the first strategy");
                }
            }
            return answers;
        }
    }

    /** What a race brought. */
    private final class Result {
        private final RayScene scene;
        private final List<Entry> entries;
        private final Entry.Answers[] answers;
        private final RoundRobin.Times times;
        private final int base;
        private final int best;
        private final boolean against;

        Result(RayScene scene, List<Entry> entries, Entry.Answers[] answers, RoundRobin.Times times) {
            this.scene = scene;
            this.entries = entries;
            this.answers = answers;
            this.times = times;
            int first = -1;
            int fastest = -1;
            for (int i = 0; i < entries.size(); i++) {
                if (!entries.get(i).own) {
                    first = first < 0 ? i : first;
                    fastest = fastest < 0 || Ratios.median(times.single()[i]) < Ratios.median(times.single()[fastest]) ? i : fastest;
                }
            }
            against = first >= 0;
            base = against ? first : 0;
            best = against ? fastest : 0;
        }

        void print() {
            String to = against ? entries.get(base).name : entries.get(base).work + " " + entries.get(base).name;
            out.printf(Locale.ROOT, "%n%-18s%-24s%10s  %-26s%-30s%8s%11s%s%n", "work", "contender", "M rays/s", "to: " + to,
                    against ? "to best: " + entries.get(best).name : "", "hits %", "bytes/ray", options.threads() > 1 ? "  scaling" : "");
            for (int i = 0; i < entries.size(); i++) {
                Entry entry = entries.get(i);
                Ratios toBase = ratios(i, base);
                Ratios toBest = ratios(i, best);
                double allocated = times.allocated()[i] / (double) entry.rays;
                out.printf(Locale.ROOT, "%-18s%-24s%10.2f  %-26s%-30s%8.2f%11.2f%s%n", entry.own ? entry.work : "reference", entry.name,
                        1e-6 * entry.rays / Ratios.median(times.single()[i]), toBase, against ? toBest : "",
                        100.0 * answers[i].hits / entry.rays,
                        allocated, options.threads() > 1 ? "  " + scaling(i) : "");
                String where = " work=" + entry.work + " size=" + scene.size()
                        + (scene.name().equals("column") ? "" : " scene=" + scene.name());
                if (entry.own) {
                    if (against) {
                        String ratios = String.format(Locale.ROOT, " to=%s ratio=%.2f to=best ratio=%.2f", entries.get(base).name,
                                toBase.median(),
                                toBest.median());
                        lines.add("RATIO" + where + " strategy=" + entry.name + ratios + " best=" + entries.get(best).name);
                        if (entry.name.equals(Contender.USUAL)) {
                            lines.add("RATIO" + where + ratios);
                        }
                    } else {
                        lines.add(String.format(Locale.ROOT, "RATIO%s strategy=%s to=%s ratio=%.2f", where, entry.name,
                                entries.get(base).name,
                                toBase.median()));
                    }
                    lines.add(String.format(Locale.ROOT, "ALLOCATED%s strategy=%s %.3f bytes a ray", where, entry.name, allocated));
                }
                if (options.threads() > 1) {
                    lines.add(
                            String.format(Locale.ROOT, "SCALING%s %s=%s threads=%d ratio=%.2f", where, entry.own ? "strategy" : "reference",
                                    entry.name, options.threads(), scaling(i).median()));
                }
            }
        }

        private Ratios ratios(int entry, int to) {
            double[] a = times.single()[entry];
            double[] b = times.single()[to];
            double[] ratios = new double[a.length];
            // Rays a second: entries may trace different numbers of rays.
            Arrays.setAll(ratios, round -> b[round] / entries.get(to).rays / (a[round] / entries.get(entry).rays));
            return Ratios.of(ratios);
        }

        private Ratios scaling(int entry) {
            double[] ratios = new double[options.rounds()];
            // Both threads together take both[] for the same rays; each of them has half of it on its own processor.
            Arrays.setAll(ratios, round -> options.threads() * times.single()[entry][round] / times.both()[entry][round]);
            return Ratios.of(ratios);
        }
    }
}
