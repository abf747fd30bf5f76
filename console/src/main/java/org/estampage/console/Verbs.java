package org.estampage.console;

import java.io.File;
import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.cage.Cage;
import org.estampage.cage.CageCheck;
import org.estampage.cage.CageFit;
import org.estampage.cage.CagePicture;
import org.estampage.cage.CageSource;
import org.estampage.finding.Findings;
import org.estampage.handover.Delivery;
import org.estampage.handover.Manifest;
import org.estampage.handover.ModelFiles;
import org.estampage.handover.MapFiles;
import org.estampage.handover.MapFileOptions;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Mips;
import org.estampage.io.ImageFiles;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.SampleFormat;
import org.estampage.lowpoly.Decimate;
import org.estampage.lowpoly.HiddenParts;
import org.estampage.lowpoly.Lathe;
import org.estampage.lowpoly.Lod;
import org.estampage.lowpoly.Lods;
import org.estampage.lowpoly.ScanLowPoly;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.EffortMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.OpacityMap;
import org.estampage.maps.OpennessMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.material.ChannelPack;
import org.estampage.material.LayNormals;
import org.estampage.material.Layers;
import org.estampage.material.LayerMaterial;
import org.estampage.material.NormalCheck;
import org.estampage.material.RoughnessMips;
import org.estampage.material.Tiling;
import org.estampage.material.Triplanar;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshDigest;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Normals;
import org.estampage.mesh.PairCheck;
import org.estampage.preview.Compare;
import org.estampage.preview.Preview;
import org.estampage.report.Report;
import org.estampage.report.ReportOptions;
import org.estampage.session.SetReport;
import org.estampage.session.Watch;
import org.estampage.uv.Atlas;
import org.estampage.uv.Repack;
import org.estampage.uv.Unwrap;
import org.estampage.uv.UvCheck;
import org.estampage.uv.UvPicture;

/** The verbs of scripts and of the prompt: each calls the engine. */
public final class Verbs {
    private Verbs() {
    }

    /** Returns a mesh from an OBJ, PLY, STL or glTF file. */
    public static Mesh load(String path) throws IOException {
        Path file = Session.current().resolve(path);
        return Session.current().read(file);
    }

    /** Returns a mesh from positions (xyz interleaved) and triangles (three vertex numbers each). */
    public static Mesh.Builder mesh(float[] positions, int[] triangles) {
        return Mesh.builder(positions, triangles);
    }

    /** Writes a mesh; the ending picks the format. What the format can't carry is said on the error stream. */
    public static List<Path> save(MeshSource mesh, String path) throws IOException {
        Path file = Session.current().resolve(path);
        Session.current().report(file, MeshFiles.write(mesh.build(), file, Session.current().task()));
        return Session.current().wrote(List.of(file));
    }

    /** Writes a cage as a mesh; the ending picks the format. */
    public static List<Path> save(CageSource cage, String path) throws IOException {
        return save(Session.current().present(cage).build().mesh(), path);
    }

    /**
     * Writes every map of a bake and a manifest: {@code out/bollard} gives {@code out/bollard-normal.png} and so on, on UDIM tiles
     * {@code out/bollard-normal.1001.png}, and {@code out/bollard-manifest.json}.
     */
    public static List<Path> save(BakeResult result, String base, SaveOption... options) throws IOException {
        if (base.isBlank() || base.endsWith("/") || base.endsWith(File.separator)) { // a Path would forget it
            throw new IllegalArgumentException(
                    "base = \"" + base + "\" must end with the beginning of the files' names, as out/bollard does");
        }
        Session session = Session.current();
        return Session.current()
                .wrote(Delivery.write(result, session.resolve(base), SaveOption.all(options), session.inputs(result.job()), session.task())
                        .files());
    }

    /** Writes what a bake gave as one page for a browser: maps, findings, model, times, settings. It opens from disk. */
    public static List<Path> report(BakeResult result, String path) throws IOException {
        return report(result, path, ReportOptions.USUAL);
    }

    /** Writes a report with options: {@code ReportOptions.USUAL.withTexels(512)}, pictures and numbers of one's own. */
    public static List<Path> report(BakeResult result, String path, ReportOptions options) throws IOException {
        Path file = Session.current().resolve(path);
        Report.write(result, file, options, Session.current().task());
        return Session.current().wrote(List.of(file));
    }

    /** Writes an image, in 16 bits unless an option says otherwise. */
    public static List<Path> save(ImageSource image, String path, SaveOption... options) throws IOException {
        return Session.current()
                .wrote(MapFiles.write(image.build(), Session.current().resolve(path), SaveOption.all(options), Session.current().task()));
    }

    /** Writes the low poly of a bake with its maps as a model: {@code .glb}, or {@code .gltf} with its parts beside it. */
    public static List<Path> save(MeshSource low, BakeResult result, String path) throws IOException {
        return save(ModelFiles.of(result, low), path);
    }

    /** Writes a dressed low poly. */
    public static List<Path> save(ModelFiles model, String path) throws IOException {
        Path file = Session.current().resolve(path);
        Session.current().report(file, model.write(file, Session.current().task()));
        return Session.current().wrote(List.of(file));
    }

    /** Writes a manifest. */
    public static List<Path> save(Manifest manifest, String path) throws IOException {
        Path file = Session.current().resolve(path);
        manifest.write(file, Session.current().task());
        return Session.current().wrote(List.of(file));
    }

    /** Returns an option of save: the depth of integer files, 8 or 16. */
    public static SaveOption bits(int depth) {
        SampleFormat samples = SampleFormat.unsigned(depth); // refuses what is not possible here, not only when it is used
        return SaveOption.late(options -> options.withSamples(samples));
    }

    /** Returns an option of save: numbers as 16-bit floats, in EXR files; heights, positions and the like stay 32-bit floats. */
    public static SaveOption half() {
        return SaveOption.late(options -> options.withSamples(SampleFormat.HALF));
    }

    /** Returns an option of save: numbers as 32-bit floats, raw values, in TIFF and EXR files. */
    public static SaveOption floats() {
        return SaveOption.late(options -> options.withSamples(SampleFormat.FLOAT));
    }

    /** Returns an option of save: maps as TIFF files. */
    public static SaveOption tiff() {
        return SaveOption.of(options -> options.withFormat("tif"));
    }

    /** Returns an option of save: maps as EXR files, of raw values as floats. */
    public static SaveOption exr() {
        return SaveOption.of(options -> options.withFormat("exr"));
    }

    /** Returns an option of save: maps as TGA files, of 8 bits. */
    public static SaveOption tga() {
        return SaveOption.of(options -> options.withFormat("tga"));
    }

    /** Returns an option of save: all maps as layers of one EXR file. */
    public static SaveOption layers() {
        return SaveOption.of(options -> options.withFormat("exr").withLayers());
    }

    /** Returns an option of save: tangent-space normals with green against +Y. */
    public static SaveOption greenDown() {
        return SaveOption.of(MapFileOptions::withGreenDown);
    }

    /** Returns an option of save: normals in 8 bits, spread over neighbouring codes so that slow slopes don't show steps. */
    public static SaveOption dithered() {
        return SaveOption.late(MapFileOptions::withDither);
    }

    /** Returns an option of save: files' names by a pattern with {@code {asset}}, {@code {set}}, {@code {map}}, {@code {tile}}. */
    public static SaveOption names(String pattern) {
        return SaveOption.of(options -> options.withNames(pattern));
    }

    /** Returns an option of save: the texture set's name in the files' names. */
    public static SaveOption set(String name) {
        return SaveOption.of(options -> options.withSet(name));
    }

    /** Returns a mesh cleaned up for work on its surface: welded, without repeated and coincident triangles, without edges of many triangles. */
    public static Cleanup cleanUp(MeshSource mesh) {
        return Cleanup.of(mesh).task(Session.current().task());
    }

    /** Returns a mesh with at most so many triangles and nearly the same surface. */
    public static Decimate decimate(MeshSource mesh, int triangles) {
        return decimate(mesh).triangles(triangles);
    }

    /**
     * Returns a low poly of a scan with at most so many triangles: cleaned up, without what is hidden inside, decimated, and mended, so that it can be
     * unwrapped, caged and baked.
     */
    public static ScanLowPoly lowPoly(MeshSource scan, int triangles) {
        return ScanLowPoly.of(scan).triangles(triangles).task(Session.current().task());
    }

    /** Returns a mesh without the parts that nobody sees from outside. */
    public static HiddenParts withoutHidden(MeshSource mesh) {
        return HiddenParts.of(mesh).task(Session.current().task());
    }

    /** Returns a decimation that waits for its bound: {@code decimate(high).error(0.01)}. */
    public static Decimate decimate(MeshSource mesh) {
        return Decimate.of(mesh).task(Session.current().task());
    }

    /** Returns ever coarser meshes that share the first one's maps, each with at most so many triangles. */
    public static List<Lod> lods(MeshSource low, int... triangles) {
        return Lods.of(low).triangles(triangles).task(Session.current().task()).build();
    }

    /** Returns a low poly turned around a mesh. */
    public static Lathe lathe(MeshSource high) {
        return Lathe.around(high).task(Session.current().task());
    }

    /** Returns the mesh with UVs: automatic charts, or such as the options that can follow ask for. */
    public static Unwrap unwrap(MeshSource mesh) {
        return Unwrap.of(mesh).task(Session.current().task());
    }

    /** Returns the mesh with the charts of its UVs packed anew: for another size or gutter, or at an even texel density. */
    public static Repack repack(MeshSource mesh) {
        return Repack.of(mesh).task(Session.current().task());
    }

    /** Returns an atlas that waits for its options: {@code atlas(bollard, plinth).size(4096).build()} are the meshes with one layout for all their charts. */
    public static Atlas atlas(MeshSource... meshes) {
        return Atlas.of(meshes).task(Session.current().task());
    }

    /** Returns the mesh with all edges smooth. */
    public static Mesh smooth(MeshSource mesh) {
        return Normals.smooth(mesh.build());
    }

    /** Returns the mesh with hard edges where it turns by more than an angle. */
    public static Mesh hardEdges(MeshSource mesh, double degrees) {
        return Normals.hardEdges(mesh.build(), degrees);
    }

    /** Returns the mesh with hard edges at the borders of its UVs and nowhere else. */
    public static Mesh hardAtSeams(MeshSource mesh) {
        return Normals.hardAtUvBorders(mesh.build());
    }

    /** Returns normals that wait for their options: {@code normalsOf(low).hardAbove(40).hardAtUvBorders().weighted(AREA)}. */
    public static Normals normalsOf(MeshSource mesh) {
        return Normals.of(mesh);
    }

    /** Returns a cage fitted around both meshes; options such as {@code margin} can follow. */
    public static CageFit cage(MeshSource low, MeshSource high) {
        Mesh dense = high.build();
        return CageFit.around(low, dense).tracer(Session.current().tracer(dense)).task(Session.current().task());
    }

    /** Returns a cage that waits for its distance: {@code cage(low).offset(0.02)}. */
    public static OffsetCage cage(MeshSource low) {
        return new OffsetCage(low);
    }

    /** Returns a cage made elsewhere, with the low poly's vertices and faces in its order. */
    public static Cage importedCage(MeshSource low, MeshSource cage) {
        return Cage.imported(low, cage);
    }

    /** Starts the description of a bake; {@code run()} carries it out. */
    public static BakeCall bake(MeshSource low, MeshSource... high) {
        return new BakeCall(Session.current(), BakeJob.of(low, high));
    }

    /** Returns the map of tangent-space normals. */
    public static NormalMap normal() {
        return NormalMap.create();
    }

    /** Returns the map of object-space normals. */
    public static ObjectNormalMap objectNormal() {
        return ObjectNormalMap.create();
    }

    /** Returns the map of heights above the low poly, in mesh units. */
    public static HeightMap height() {
        return HeightMap.create();
    }

    /** Returns the map of openness, with so many rays a texel. */
    public static OcclusionMap occlusion(int rays) {
        return OcclusionMap.create(rays);
    }

    /** Returns the map of the mean open direction, in tangent space, with so many rays a texel. */
    public static BentNormalMap bentNormal(int rays) {
        return BentNormalMap.create(rays);
    }

    /** Returns the map of how far it is through the high poly, with so many rays a texel. */
    public static ThicknessMap thickness(int rays) {
        return ThicknessMap.create(rays);
    }

    /** Returns the map of signed mean curvature, positive where the surface is convex, averaged over a length of its own. */
    public static CurvatureMap curvature() {
        return CurvatureMap.create();
    }

    /** Returns the map of how many rays each texel of another map got, as {@code occlusion-rays}. */
    public static EffortMap raysOf(OpennessMap<?> map) {
        return EffortMap.rays(map);
    }

    /** Returns the map of the standard error to expect in each texel of another map, as {@code occlusion-error}. */
    public static EffortMap errorOf(OpennessMap<?> map) {
        return EffortMap.error(map);
    }

    /** Returns the map of positions on the high poly. */
    public static PositionMap position() {
        return PositionMap.create();
    }

    /** Returns the map of which part was hit, in flat colours; {@code .materials()}, {@code .colours()} and {@code .pieces()} tell others apart. */
    public static IdMap ids() {
        return IdMap.create();
    }

    /** Returns the map of the high poly's colour: its vertices', or its texture's: {@code colour().texture(colourImage("paint.png"))}. */
    public static ColourMap colour() {
        return ColourMap.create();
    }

    /** Returns the map of how opaque the high poly is, by its vertices' alpha or its texture's. */
    public static OpacityMap opacity() {
        return OpacityMap.create();
    }

    /** Returns a map of one's own: a function that fills {@code out}, so many numbers, from what is known of a sample. Several threads call it at once. */
    public static CustomMap custom(String name, int channels, CustomMap.Values values) {
        return CustomMap.of(name, channels, values);
    }

    /** Returns the map of the fraction of each texel that met the high poly. */
    public static CoverageMap coverage() {
        return CoverageMap.create();
    }

    /** Returns a lit picture of a mesh without maps; {@code run()} draws it. */
    public static Preview preview(MeshSource mesh) {
        return Preview.of(mesh).tracers(Session.current()::tracer).task(Session.current().task());
    }

    /** Returns a lit picture of a low poly in the maps that were baked for it; {@code run()} draws it. */
    public static Preview preview(MeshSource low, BakeResult result) {
        return preview(low).dressed(result);
    }

    /** Returns the measured difference between a low poly in its maps and its high polys, from many sides; {@code run()} measures it. */
    public static Compare compare(MeshSource low, BakeResult result, MeshSource... highs) {
        Compare compare = Compare.of(low, result, highs).task(Session.current().task());
        return highs.length == 1 && highs[0] instanceof Mesh high ? compare.tracer(Session.current().tracer(high)) : compare;
    }

    /** Returns an image with its stored values, 0 … 1. */
    public static FloatImage image(String path) throws IOException {
        return ImageFiles.read(Session.current().resolve(path));
    }

    /** Returns an image of normals, decoded to −1 … 1. */
    public static FloatImage normalImage(String path) throws IOException {
        return ImageFiles.readNormals(Session.current().resolve(path));
    }

    /** Returns an image of colours, decoded from sRGB to linear. */
    public static FloatImage colourImage(String path) throws IOException {
        return ImageFiles.readColour(Session.current().resolve(path));
    }

    /** Returns the chain of an image's mip levels, which {@code build()} makes: half its size, a quarter and so on, as it is seen from afar. */
    public static Mips mips(ImageSource image) {
        return Mips.of(image.build()).task(Session.current().task());
    }

    /** Returns a detail's normals laid over a base's, in tangent space; options such as {@code detailStrength} can follow. */
    public static LayNormals layNormals(ImageSource base, ImageSource detail) {
        return LayNormals.of(base, detail).task(Session.current().task());
    }

    /** Returns an image repeated across and down; {@code rotate}, {@code offset}, {@code vary} and {@code size} can follow. */
    public static Tiling tile(ImageSource image, double across, double down) {
        return Tiling.of(image, across, down).task(Session.current().task());
    }

    /**
     * Returns an image that repeats in space, tiles of some mesh units wide, projected along three axes by baked positions and object-space normals, so that
     * seams don't show.
     */
    public static Triplanar triplanar(ImageSource image, double tileSize, FloatImage position, FloatImage objectNormal) {
        return Triplanar.of(image, tileSize, position, objectNormal).task(Session.current().task());
    }

    /** Returns a material on baked normals that waits for layers: {@code layers(result.map("normal"), iron).add(paint, mask).build()}. */
    public static Layers layers(ImageSource bakedNormal, LayerMaterial ground) {
        return Layers.on(bakedNormal, ground).task(Session.current().task());
    }

    /** Returns the mip levels of a roughness, which {@code build()} makes, with what the normals' own levels lose added to them. */
    public static RoughnessMips roughnessMips(ImageSource normal, ImageSource roughness) {
        return RoughnessMips.of(normal, roughness).task(Session.current().task());
    }

    /** Returns three images of one channel each as one image's red, green and blue; {@code ChannelPack} has them by name and content. */
    public static ChannelPack packChannels(ImageSource red, ImageSource green, ImageSource blue) {
        return ChannelPack.create().task(Session.current().task()).add("red", red).add("green", green).add("blue", blue);
    }

    /** Returns four images of one channel each as one image's red, green, blue and alpha. */
    public static ChannelPack packChannels(ImageSource red, ImageSource green, ImageSource blue, ImageSource alpha) {
        return packChannels(red, green, blue).add("alpha", alpha);
    }

    /** Returns what is worth knowing about an image of tangent-space normals: unit length, outwards, green up. */
    public static Findings check(ImageSource normals) {
        return NormalCheck.of(normals.build(), Session.current().task()).findings();
    }

    /** Returns what is worth knowing about a mesh and the layout of its UVs, for 2048 × 2048 texels. */
    public static Findings check(MeshSource mesh) {
        return check(mesh, 2048, 2048);
    }

    /** Returns what is worth knowing about a mesh and the layout of its UVs on an image of some size. */
    public static Findings check(MeshSource mesh, int width, int height) {
        Mesh built = mesh.build();
        return MeshCheck.check(built).with(UvCheck.check(built, width, height, Session.current().task()));
    }

    /** Returns a picture of the layout of a mesh's UVs on a square image, with distortion in colour, and overlapping and flipped triangles hatched. */
    public static FloatImage uvPicture(MeshSource mesh) {
        return uvPicture(mesh, 2048, 2048);
    }

    /** Returns such a picture for an image of some size. */
    public static FloatImage uvPicture(MeshSource mesh, int width, int height) {
        return UvPicture.draw(mesh, 1024, width, height, Session.current().task());
    }

    /** Returns a picture of a cage between two meshes, from four sides, with what is wrong marked. */
    public static FloatImage cagePicture(MeshSource low, MeshSource high, CageSource cage) {
        Session session = Session.current();
        return CagePicture.draw(low, high, session.present(cage), 1024, CageCheck.SLANT_LIMIT, session.task());
    }

    /** Returns whether a low poly and a high poly fit each other: units, axis up, place; with the call that cures what does not. */
    public static Findings check(MeshSource low, MeshSource high) {
        return PairCheck.check(low, high);
    }

    /** Returns what is worth knowing about a cage between two meshes. */
    public static Findings check(MeshSource low, MeshSource high, CageSource cage) {
        return CageCheck.check(low, high, Session.current().present(cage), Session.current().task());
    }

    /** Returns what is worth knowing about a cage between two meshes, with the places where rays lean by more than a limit in degrees. */
    public static Findings check(MeshSource low, MeshSource high, CageSource cage, double slantLimit) {
        return CageCheck.report(low, high, Session.current().present(cage), slantLimit, Session.current().task()).findings();
    }

    /** Returns the low poly of a bake, to be saved as one file with the maps: {@code save(model(result).baseColour(paint), "x.glb")}. */
    public static ModelFiles model(BakeResult result) {
        return ModelFiles.of(result);
    }

    /** Returns what tells of a bake: inputs, options, ranges, findings; {@code save} writes it beside the maps. */
    public static Manifest manifest(BakeResult result) {
        return Manifest.of(result, List.of());
    }

    /** Returns a manifest that was written: {@code manifest("out/bollard-manifest.json").open(Severity.WARNING)} is what nobody has accepted. */
    public static Manifest manifest(String path) throws IOException {
        return Manifest.read(Session.current().resolve(path));
    }

    /** Returns the fingerprint of all that a bake sees of a mesh. */
    public static String digest(MeshSource mesh) {
        return MeshDigest.sha256(mesh);
    }

    /** Returns a path as the caller means it: a relative one starts at the caller's folder. */
    public static Path path(String path) {
        return Session.current().resolve(path);
    }

    /** Returns a script's argument as text. */
    public static String arg(String name, String otherwise) {
        String text = Session.current().argument(name);
        return text == null ? otherwise : text;
    }

    /** Returns a script's argument as a whole number. */
    public static int arg(String name, int otherwise) {
        String text = Session.current().argument(name);
        try {
            return text == null ? otherwise : Integer.parseInt(text.replace("_", ""));
        } catch (NumberFormatException e) {
            throw new IllegalArgumentException("the argument " + name + "=" + text + " is not a whole number", e);
        }
    }

    /** Returns a script's argument as a number. */
    public static double arg(String name, double otherwise) {
        String text = Session.current().argument(name);
        try {
            return text == null ? otherwise : Double.parseDouble(text);
        } catch (NumberFormatException e) {
            throw new IllegalArgumentException("the argument " + name + "=" + text + " is not a number", e);
        }
    }

    /** Returns a script's argument as true or false. */
    public static boolean arg(String name, boolean otherwise) {
        String text = Session.current().argument(name);
        return switch (text == null ? String.valueOf(otherwise) : text.toLowerCase(Locale.ROOT)) {
            case "true", "yes" -> true;
            case "false", "no" -> false;
            default -> throw new IllegalArgumentException("the argument " + name + "=" + text + " is neither true nor false");
        };
    }

    /**
     * Shows a picture of a value in the terminal, by the desktop's viewer, or as a file whose path is printed: a mesh as a lit render, a bake's maps side by
     * side, a cage as a drawing, an image as it is. A path is that of an image file.
     */
    public static void show(Object value) throws IOException {
        Session session = Session.current();
        session.screen().show(Pictures.of(value, session), session.out());
    }

    /** Ends a script with a message and exit code 1: what it has made is not as it must be. */
    public static void fail(String why) {
        throw new IllegalStateException(why);
    }

    /** Prints where in the code the last exception of this prompt arose. */
    public static void trace() {
        Session session = Session.current();
        session.lastThrown().ifPresentOrElse(e -> e.printStackTrace(session.out()),
                () -> session.out().println("nothing was thrown so far"));
    }

    /** Works whenever a file, or a file in a folder or below, holds something else than before and has come to rest; Ctrl-C ends it. */
    public static void watch(String path, Session.Answer action) throws IOException {
        watch(List.of(path), action);
    }

    /** Works whenever one of several files or folders has changed. */
    public static void watch(List<String> paths, Session.Answer action) throws IOException {
        Session.current().watch(paths, changed -> action.run());
    }

    /** Works whenever something has changed; the action is told which files. */
    public static void watch(String path, Watch.Action action) throws IOException {
        Session.current().watch(List.of(path), action);
    }

    /**
     * Returns the assets of a folder, pairs of meshes called {@code <asset>-low} and {@code <asset>-high}, or of a table, comma-separated values with a column
     * called {@code asset}: {@code assets("props.csv").each(asset -> …)} works on one after the other.
     */
    public static SetCall assets(String folderOrTable) throws IOException {
        Session session = Session.current();
        return new SetCall(session, session.resolve(folderOrTable));
    }

    /** Writes what became of a set, as {@code .csv} or {@code .json}. */
    public static List<Path> save(SetReport report, String path) throws IOException {
        Path file = Session.current().resolve(path);
        report.write(file, Session.current().task());
        return Session.current().wrote(List.of(file));
    }

    /**
     * Returns the cache, in which what takes long is kept from run to run: {@code cache().limit(20)} in gigabytes, {@code cache().folder("kept")},
     * {@code cache().off()}, {@code cache().clear()}.
     */
    public static CacheCall cache() {
        return new CacheCall(Session.current());
    }

    /** Prints all verbs, by the stages of the job. */
    public static void help() {
        Session.current().out().print(Help.all());
    }

    /** Prints what there is to read about a verb, with examples, about a stage of the job, or about an option. */
    public static void help(String name) {
        Session.current().out().print(Help.of(name));
    }

    /** Prints what a value can do: its options, what it can be asked, the verbs that take it. */
    public static void help(Object value) {
        Session.current().out().print(Help.ofValue(value));
    }
}
