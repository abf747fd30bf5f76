/**
 * The Estampage engine: carries the surface detail of a high-poly mesh onto texture maps of a low-poly mesh.
 *
 * <p>Start reading at {@link org.estampage.bake.BakeJob}, which shows the whole way from two files to maps, and {@link org.estampage.bake.Baker}.
 */
module org.estampage.engine {
    requires transitive org.jspecify;
    requires transitive org.joml;
    requires static jdk.incubator.vector;
    requires transitive java.desktop;
    requires com.fasterxml.jackson.databind;

    exports org.estampage.task;
    exports org.estampage.finding;
    exports org.estampage.image;
    exports org.estampage.mesh;
    exports org.estampage.raster;
    exports org.estampage.lowpoly;
    exports org.estampage.uv;
    exports org.estampage.bvh;
    exports org.estampage.cage;
    exports org.estampage.bake;
    exports org.estampage.maps;
    exports org.estampage.material;
    exports org.estampage.preview;
    exports org.estampage.handover;
    exports org.estampage.report;
    exports org.estampage.session;
    exports org.estampage.io;
    exports org.estampage.io.gltf;
    exports org.estampage.io.obj;
    exports org.estampage.io.ply;
    exports org.estampage.io.jpeg;
    exports org.estampage.io.png;
    exports org.estampage.io.exr;
    exports org.estampage.io.format;
    exports org.estampage.io.stl;
    exports org.estampage.io.tga;
    exports org.estampage.io.tiff;
}
