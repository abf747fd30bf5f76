package org.estampage.examples.server;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;

/** What clients read. */
final class Json {
    private Json() {
    }

    private static ObjectNode object() {
        return JsonNodeFactory.instance.objectNode();
    }

    /** Returns a problem as RFC 9457 has it, with its points. */
    static ObjectNode of(Problem problem, String instance) {
        ObjectNode node = object().put("type", "/problems/" + problem.kind().id()).put("title", problem.kind().title)
                .put("status", problem.kind().status).put("detail", problem.detail()).put("instance", instance);
        if (!problem.points().isEmpty()) {
            ArrayNode points = node.putArray("points");
            problem.points().forEach(
                    point -> points.addObject().put("where", point.where()).put("what", point.what()).put("remedy", point.remedy()));
        }
        return node;
    }

    /** Returns a job as it stands. */
    static ObjectNode of(Job job, Job.Status status) {
        String path = "/jobs/" + job.id();
        ObjectNode node = object().put("id", job.id()).put("name", job.description().name()).put("state", status.state().id());
        if (!status.stage().isEmpty()) {
            node.put("stage", status.stage());
            if (status.total() > 0) {
                node.put("percent", (int) (100 * status.done() / status.total()));
            }
        }
        node.put("seconds", Math.round(status.time().toMillis() / 10.0) / 100.0);
        ObjectNode meshes = node.putObject("meshes");
        new TreeMap<>(status.meshes()).forEach((role, upload) -> meshes.set(role.id(), of(upload)));
        status.outcome().ifPresent(outcome -> {
            node.set("findings", findings(outcome.findings()));
            ObjectNode files = node.putObject("files");
            ObjectNode maps = files.putObject("maps");
            for (Map.Entry<String, ?> map : outcome.maps().entrySet()) {
                maps.put(map.getKey(), path + "/maps/" + map.getKey() + ".png");
            }
            files.put("manifest", path + "/manifest.json").put("model", path + "/model.glb");
        });
        status.problem().ifPresent(problem -> node.set("problem", of(problem, path)));
        return node;
    }

    /** Returns a mesh that was sent. */
    static ObjectNode of(Upload upload) {
        ObjectNode node = object().put("bytes", upload.bytes()).put("triangles", upload.triangles());
        node.set("findings", findings(upload.findings()));
        return node;
    }

    private static ArrayNode findings(List<Finding> findings) {
        ArrayNode nodes = JsonNodeFactory.instance.arrayNode();
        for (Finding finding : findings) {
            ArrayNode places = nodes.addObject().put("severity", finding.severity().name().toLowerCase(Locale.ROOT))
                    .put("kind", finding.kind()).put("count", finding.count()).put("message", finding.message())
                    .put("remedy", finding.remedy()).putArray("places");
            finding.places().stream().map(Place::toString).forEach(places::add);
        }
        return nodes;
    }
}
