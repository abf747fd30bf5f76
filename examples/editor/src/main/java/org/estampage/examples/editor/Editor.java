package org.estampage.examples.editor;

import com.formdev.flatlaf.FlatLightLaf;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import javax.swing.SwingUtilities;
import org.estampage.examples.editor.model.Workspace;
import org.estampage.examples.editor.view.EditorWindow;

/** Starts the editor. */
public final class Editor {
    private Editor() {
    }

    /**
     * Opens the window.
     *
     * @param args files to open: the low poly, then high polys; none for an empty window
     */
    public static void main(String[] args) {
        List<Path> files = Arrays.stream(args).map(Path::of).toList();
        SwingUtilities.invokeLater(() -> {
            FlatLightLaf.setup();
            Workspace workspace = new Workspace();
            EditorWindow window = new EditorWindow(workspace);
            window.frame().setLocationByPlatform(true);
            window.frame().setVisible(true);
            if (!files.isEmpty()) {
                workspace.meshes().openAll(files.getFirst(), files.subList(1, files.size()));
            }
        });
    }
}
