package org.estampage.handover;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.util.List;
import java.util.Locale;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.bake.SurfaceMap;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.image.Encoding;
import org.estampage.image.Padding;
import org.estampage.image.Range;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshDigest;

/** Lays a bake out as a tree of JSON; {@link ManifestShape} says what is read back. */
final class ManifestText {
    private final ObjectNode root;
    private final BakeResult result;

    ManifestText(ObjectNode root, BakeResult result) {
        this.root = root;
        this.result = result;
    }

    ObjectNode root(List<WrittenMap> files) {
        BakeJob job = result.job();
        root.put("format", Manifest.FORMAT).put("version", Manifest.VERSION).put("engine", EngineVersion.text());
        mesh(root.putObject("low"), job.low());
        ArrayNode highs = root.putArray("highs");
        job.highs().forEach(high -> mesh(highs.addObject(), high));
        cage(root.putObject("cage"), job);
        options(root.putObject("job"), job);
        ArrayNode maps = root.putArray("maps");
        for (BakedTile tile : result.tiles()) {
            for (BakedMap map : tile.maps()) {
                map(maps.addObject(), tile.number(), map, files);
            }
        }
        ArrayNode findings = root.putArray("findings");
        result.findings().forEach(finding -> finding(findings.addObject(), finding));
        return root;
    }

    private static void mesh(ObjectNode out, Mesh mesh) {
        out.put("name", mesh.name()).put("triangles", mesh.triangleCount()).put("vertices", mesh.vertexCount()).put("sha256",
                MeshDigest.sha256(mesh));
    }

    private void cage(ObjectNode out, BakeJob job) {
        out.put("from", job.cage().isPresent() ? "given" : "fitted");
        Cage cage = result.cage();
        out.put("sha256", digest(cage)).put("largestOffset", cage.largestOffset()).put("largestReach", cage.largestReach());
    }

    /** Returns the fingerprint of where a cage's rays begin and how far they go. */
    static String digest(Cage cage) {
        float[] positions = cage.positions();
        float[] reaches = cage.reaches();
        float[] all = java.util.Arrays.copyOf(positions, positions.length + reaches.length);
        System.arraycopy(reaches, 0, all, positions.length, reaches.length);
        return MeshDigest.sha256(all);
    }

    private static void options(ObjectNode out, BakeJob job) {
        out.put("width", job.width()).put("height", job.height()).put("samples", job.samplesPerSide());
        if (job.edgeSamplesPerSide() > 0) {
            out.put("edgeSamples", job.edgeSamplesPerSide());
        }
        out.put("filter", job.filter().name());
        if (job.padding() != Padding.EVERYWHERE) {
            out.put("padding", job.padding());
        }
        if (!Double.isNaN(job.depth())) {
            out.put("depth", job.depth());
        }
        out.put("rayBlend", job.rayBlend()).put("frame", job.frameRule().name()).put("hits", job.hitRule().name());
        if (job.isPairedByName()) {
            out.putObject("pairByName").put("low", job.lowSuffix()).put("high", job.highSuffix());
        }
        out.put("udim", job.isUdim()).put("copies", job.uvs().copies()).put("stacked", job.uvs().stacked());
        String part = job.uvs().stackedFrom();
        if (part != null) {
            out.put("stackedFrom", part);
        }
        if (!job.ranges().isEmpty()) {
            ObjectNode given = out.putObject("ranges");
            job.ranges().forEach((map, ranges) -> ranges(given.putArray(map), ranges));
        }
        ArrayNode maps = out.putArray("maps");
        for (SurfaceMap map : job.maps()) {
            String call = map.toString();
            maps.add(ManifestShape.isCall(call) ? call : "custom(\"" + map.name() + "\", " + map.format().channels() + ", …)"); // somebody's own class
        }
    }

    private void map(ObjectNode out, int tile, BakedMap map, List<WrittenMap> files) {
        out.put("name", map.name());
        if (result.job().isUdim()) {
            out.put("tile", tile);
        }
        Encoding encoding = map.image().encoding();
        for (WrittenMap file : files) {
            if (file.map().equals(map.name()) && file.tile() == tile) {
                out.put("file", String.valueOf(file.file().getFileName())).put("samples", file.samples().toString());
                encoding = file.encoding();
            }
        }
        out.put("kind", encoding.kind().name().toLowerCase(Locale.ROOT));
        ranges(out.putArray("ranges"), encoding.ranges());
        ObjectNode details = out.putObject("details");
        MapFiles.texts(map, encoding, result).forEach(details::put);
    }

    private static void ranges(ArrayNode out, List<Range> ranges) {
        ranges.forEach(range -> out.addArray().add(range.atZero()).add(range.atOne()));
    }

    private static void finding(ObjectNode out, Finding finding) {
        out.put("kind", finding.kind()).put("severity", finding.severity().name().toLowerCase(Locale.ROOT)).put("count", finding.count());
        out.put("message", finding.message()).put("remedy", finding.remedy());
        ArrayNode places = out.putArray("places");
        finding.places().forEach(place -> places.add(place.toString()));
    }
}
