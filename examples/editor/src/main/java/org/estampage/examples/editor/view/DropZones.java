package org.estampage.examples.editor.view;

import java.awt.datatransfer.DataFlavor;
import java.awt.datatransfer.UnsupportedFlavorException;
import java.io.File;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import javax.swing.JComponent;
import javax.swing.TransferHandler;
import org.estampage.examples.editor.model.Meshes;

/** Lets files be dropped on a view: on its left half as the low poly, on its right half as high polys. */
final class DropZones extends TransferHandler {
    private static final long serialVersionUID = 1;

    private final transient Meshes meshes;

    private DropZones(Meshes meshes) {
        this.meshes = meshes;
    }

    static void on(JComponent view, Meshes meshes) {
        view.setTransferHandler(new DropZones(meshes));
    }

    @Override
    public boolean canImport(TransferSupport support) {
        return support.isDataFlavorSupported(DataFlavor.javaFileListFlavor);
    }

    @Override
    public boolean importData(TransferSupport support) {
        try {
            List<Path> files = new ArrayList<>();
            for (Object file : (List<?>) support.getTransferable().getTransferData(DataFlavor.javaFileListFlavor)) {
                files.add(((File) file).toPath());
            }
            boolean left = support.isDrop() && support.getDropLocation().getDropPoint().x < support.getComponent().getWidth() / 2;
            if (left && files.size() == 1) {
                meshes.openLow(files.getFirst());
            } else if (left) {
                meshes.openAll(files.getFirst(), files.subList(1, files.size()));
            } else {
                meshes.addHighs(files);
            }
            return true;
        } catch (UnsupportedFlavorException | IOException gone) {
            return false; // the other program withdrew what it offered
        }
    }
}
