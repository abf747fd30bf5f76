package org.estampage.preview;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.function.Function;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.estampage.bake.BakeResult;
import org.estampage.bvh.RayTracer;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A lit picture of a mesh, bare or in what was baked for it, alone or beside others.
 *
 * <p>{@code Preview.of(low).dressed(result).beside(high).run(task)} shows the low poly in its maps, then its high poly. A key light from the upper left with
 * soft shadows, a fill light from the right and a sky stand still beside the viewer. A mesh's normals and tangents are its own, where it has none, those that
 * a bake would give it; a mesh that carries others than its maps were baked with shows the difference.
 *
 * @space pictures: linear colour, 0 … 1, row 0 on top
 * @threads confined; it draws in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class Preview implements ImageSource {
    private static final int LEAST_SIZE = 16;
    private static final int MOST_SIZE = 8192;
    private static final int MOST_SAMPLES = 8;
    private static final int MOST_SKY_RAYS = 256;
    private static final int MOST_FRAMES = 3600;

    /** One of the meshes side by side. */
    private record Panel(Mesh mesh, Dressing dressing, @Nullable RayTracer tracer) {
    }

    private final List<Panel> panels = new ArrayList<>();
    private int width = 1024;
    private int height = 1024;
    private int samples = 3;
    private int skyRays = 6;
    private double azimuth = 30;
    private double elevation = 20;
    private Axis up = Axis.Y;
    private double fieldOfView = 30;
    private double distance = Double.NaN;
    private double lightAzimuth = -45;
    private double lightElevation = 40;
    private double stops;
    private @Nullable Lights lights;
    /** Lent for speed: it is no part of what is drawn. */
    private transient @Nullable Function<Mesh, RayTracer> tracers;
    private Task task = Task.silent();

    private Preview(Mesh mesh) {
        panels.add(new Panel(mesh, Dressing.bare(), null));
    }

    /** Starts a picture of a mesh without maps. */
    public static Preview of(MeshSource mesh) {
        return new Preview(mesh.build());
    }

    /** Lets the mesh that was named last wear a bake's maps, see {@link Dressing#of}. */
    public Preview dressed(BakeResult result) {
        return dressed(Dressing.of(result));
    }

    /** Lets the mesh that was named last wear this. */
    public Preview dressed(Dressing dressing) {
        Panel last = panels.removeLast();
        panels.add(new Panel(last.mesh, Objects.requireNonNull(dressing, "dressing"), last.tracer));
        return this;
    }

    /**
     * Takes a tracer that was built for the very mesh that was named last.
     *
     * @throws IllegalArgumentException if it has another number of triangles
     */
    public Preview tracer(RayTracer tracer) {
        Panel last = panels.removeLast();
        if (tracer.triangleCount() != last.mesh.triangleCount()) {
            panels.add(last);
            throw new IllegalArgumentException(
                    "the tracer has " + tracer.triangleCount() + " triangles, the mesh " + last.mesh.triangleCount());
        }
        panels.add(new Panel(last.mesh, last.dressing, tracer));
        return this;
    }

    /** Sets who is asked for tracers of meshes that came without one, as a caller that keeps them may have; without it they are built for each picture. */
    public Preview tracers(Function<Mesh, RayTracer> value) {
        tracers = Objects.requireNonNull(value, "value");
        return this;
    }

    /** Sets another mesh to the right of those there are, seen from the same side, bare unless {@link #dressed(Dressing)} follows. */
    public Preview beside(MeshSource mesh) {
        panels.add(new Panel(mesh.build(), Dressing.bare(), null));
        return this;
    }

    /** Sets the size that each mesh gets, a square; 1024 by default. */
    public Preview size(int pixels) {
        return size(pixels, pixels);
    }

    /**
     * Sets the size that each mesh gets; the picture is as many times as wide as there are meshes.
     *
     * @throws IllegalArgumentException if a side is not 16 … 8192
     */
    public Preview size(int w, int h) {
        width = inRange("width", w, LEAST_SIZE, MOST_SIZE);
        height = inRange("height", h, LEAST_SIZE, MOST_SIZE);
        return this;
    }

    /**
     * Sets n for n × n rays a pixel; 3 by default.
     *
     * @throws IllegalArgumentException if it is not 1 … 8
     */
    public Preview samples(int n) {
        samples = inRange("samples", n, 1, MOST_SAMPLES);
        return this;
    }

    /**
     * Sets how many rays of each sample ask for the sky where no occlusion map says how open the surface is; 6 by default, 0 for none: all is open then.
     *
     * @throws IllegalArgumentException if it is not 0 … 256
     */
    public Preview skyRays(int count) {
        skyRays = inRange("skyRays", count, 0, MOST_SKY_RAYS);
        return this;
    }

    /**
     * Sets from where one looks; from 30° to the right and 20° above by default.
     *
     * @param azimuthDegrees   around the upright axis, counter-clockwise from above; 0 is the front: +z looks at the viewer, where z is up −y does
     * @param elevationDegrees above the horizon
     * @throws IllegalArgumentException if the azimuth is not finite or the elevation not −90 … 90
     */
    public Preview from(double azimuthDegrees, double elevationDegrees) {
        azimuth = inRange("azimuthDegrees", azimuthDegrees, -1e6, 1e6);
        elevation = inRange("elevationDegrees", elevationDegrees, -90, 90);
        return this;
    }

    /** Sets which axis is upright; y by default. */
    public Preview up(Axis axis) {
        up = Objects.requireNonNull(axis, "axis");
        return this;
    }

    /**
     * Sets the angle from the bottom of the picture to the top, in degrees; 30 by default.
     *
     * @throws IllegalArgumentException if it is not 1 … 120
     */
    public Preview fieldOfView(double degrees) {
        fieldOfView = inRange("fieldOfView", degrees, 1, 120);
        return this;
    }

    /**
     * Sets how far the eye is from the middle of the meshes' bounds, which then stands in the middle of the picture; without it all fits in.
     *
     * @throws IllegalArgumentException if it is not a positive length
     */
    public Preview distance(double length) {
        if (!(length > 0) || !Float.isFinite((float) length)) {
            throw new IllegalArgumentException("distance = " + length + " must be a positive length");
        }
        distance = length;
        return this;
    }

    /**
     * Sets where the key light stands, as the viewer sees it; 45° to the left and 40° above by default.
     *
     * @param azimuthDegrees   to the viewer's right
     * @param elevationDegrees above the viewer
     * @throws IllegalArgumentException if the azimuth is not −180 … 180 or the elevation not −90 … 90
     */
    public Preview light(double azimuthDegrees, double elevationDegrees) {
        lightAzimuth = inRange("azimuthDegrees", azimuthDegrees, -180, 180);
        lightElevation = inRange("elevationDegrees", elevationDegrees, -90, 90);
        return this;
    }

    /**
     * Makes all light so many times twice as bright; 0 by default.
     *
     * @throws IllegalArgumentException if it is not −10 … 10
     */
    public Preview exposure(double powersOfTwo) {
        stops = inRange("exposure", powersOfTwo, -10, 10);
        return this;
    }

    /** Sets lights that don't go with the viewer. */
    Preview lights(Lights value) {
        lights = value;
        return this;
    }

    /** Sets who hears of progress and can cancel {@link #run()} and {@link #turntable}. */
    public Preview task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /** Draws under this task; otherwise as {@link #run()}. */
    public FloatImage run(Task under) {
        return task(under).run();
    }

    /**
     * Draws.
     *
     * @return linear colour, which integer files store with the sRGB curve
     * @throws org.estampage.mesh.InvalidMeshException    if a mesh has no triangles, values that are not finite, or no UVs for the images it is to wear
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost a tracer for each mesh that came without; width · height · samples² rays and, where they hit, one towards the key light and those of the sky
     */
    public FloatImage run() {
        return task.recalled(FloatImage.class, this, () -> draw(figures(), cameras(List.of(aim(0))).getFirst()));
    }

    /** Draws the picture, as {@link #run()} does. */
    @Override
    public FloatImage build() {
        return run();
    }

    /**
     * Returns pictures all around, each drawn when it is asked for, in equal steps from the side that {@link #from} set, as if the meshes turned clockwise on
     * a table; distance and lights stay the same.
     *
     * @throws IllegalArgumentException if {@code frames} is not 1 … 3600
     */
    public Stream<FloatImage> turntable(int frames) {
        inRange("frames", frames, 1, MOST_FRAMES);
        List<Figure> figures = figures();
        List<Camera> cameras = cameras(IntStream.range(0, frames).mapToObj(i -> aim(360.0 * i / frames)).toList());
        return cameras.stream().map(camera -> draw(figures, camera));
    }

    private Aim aim(double further) {
        return Aim.of(up, azimuth + further, elevation);
    }

    private List<Camera> cameras(List<Aim> aims) {
        Framing framing = new Framing(panels.stream().map(Panel::mesh).toList());
        double halfHeight = StrictMath.tan(StrictMath.toRadians(fieldOfView / 2)), halfWidth = halfHeight * width / height;
        return Double.isNaN(distance)
                ? framing.around(aims, halfWidth, halfHeight)
                : aims.stream().map(aim -> framing.at(aim, distance, halfWidth, halfHeight)).toList();
    }

    private List<Figure> figures() {
        long rays = (long) width * height * samples * samples * (2 + skyRays);
        return panels.stream().map(panel -> Figure.of(panel.mesh, panel.dressing, tracer(panel), rays, task)).toList();
    }

    private @Nullable RayTracer tracer(Panel panel) {
        return panel.tracer == null && tracers != null ? tracers.apply(panel.mesh) : panel.tracer;
    }

    private FloatImage draw(List<Figure> figures, Camera camera) {
        FloatImage image = FloatImage.create(width * figures.size(), height, Encoding.colour(3), task.memory());
        Lights lit = lights != null ? lights : Lights.beside(camera.aim(), up, lightAzimuth, lightElevation);
        List<PictureBlocks> panels = new ArrayList<>();
        for (Figure figure : figures) {
            panels.add(new PictureBlocks(figure, camera, lit, samples, skyRays, StrictMath.pow(2, stops), image,
                    width * panels.size(), width));
        }
        Task.Stage stage = task.stage("drawing", panels.stream().mapToLong(PictureBlocks::blockCount).sum());
        panels.forEach(panel -> panel.paint(stage));
        return image;
    }

    static int inRange(String name, int value, int least, int most) {
        if (value < least || value > most) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + least + " … " + most);
        }
        return value;
    }

    private static double inRange(String name, double value, double least, double most) {
        if (!(value >= least && value <= most)) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + least + " … " + most);
        }
        return value;
    }
}
