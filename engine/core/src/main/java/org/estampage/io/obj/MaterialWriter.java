package org.estampage.io.obj;

import java.io.IOException;
import java.io.OutputStream;
import java.util.List;
import java.util.Map;
import org.estampage.io.shared.TextOut;
import org.estampage.mesh.Material;

/** Writes MTL files. */
final class MaterialWriter {
    private static final Map<String, String> STATEMENTS = Map.of("base-colour", "map_Kd", "normal", "norm", "bump", "map_Bump", "opacity",
            "map_d");

    private MaterialWriter() {
    }

    /** Returns the keyword under which a material keeps the options of a texture statement. */
    static String optionsKey(String use) {
        return "options of " + use;
    }

    /** Returns whether a texture has a statement. */
    static boolean carries(String use) {
        return STATEMENTS.containsKey(use);
    }

    static void write(List<Material> materials, OutputStream stream) throws IOException {
        TextOut out = new TextOut(stream);
        for (Material m : materials) {
            out.put("newmtl ").put(ObjWriter.name(m.name())).put('\n');
            out.put("Kd ").put(m.red()).put(' ').put(m.green()).put(' ').put(m.blue()).put('\n');
            out.put("d ").put(m.opacity()).put('\n');
            for (Map.Entry<String, String> texture : m.textures().entrySet()) {
                String statement = STATEMENTS.get(texture.getKey());
                if (statement != null) {
                    String options = m.statements().get(optionsKey(texture.getKey()));
                    out.put(statement).put(options == null ? " " : " " + ObjWriter.name(options) + " ")
                            .put(ObjWriter.name(texture.getValue()))
                            .put('\n');
                }
            }
            for (Map.Entry<String, String> statement : m.statements().entrySet()) {
                if (!statement.getKey().startsWith(optionsKey(""))) {
                    for (String line : statement.getValue().split("\n", -1)) {
                        out.put(ObjWriter.name(statement.getKey())).put(' ').put(ObjWriter.name(line)).put('\n');
                    }
                }
            }
            out.put('\n');
        }
        out.flush();
    }
}
