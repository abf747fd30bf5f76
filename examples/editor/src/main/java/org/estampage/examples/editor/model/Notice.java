package org.estampage.examples.editor.model;

import java.io.FileNotFoundException;
import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.util.Objects;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.InvalidMeshException;

/**
 * What the window tells its user.
 *
 * @param kind     whether it is good news
 * @param headline what happened
 * @param detail   where, and what to do about it; may have several lines
 */
public record Notice(Kind kind, String headline, String detail) {
    /** Whether something went well. */
    public enum Kind {
        /** Something was done. */
        DONE,
        /** Something was not done, and the user decides what is next. */
        PROBLEM
    }

    /** Returns good news. */
    public static Notice done(String headline, String detail) {
        return new Notice(Kind.DONE, headline, detail);
    }

    /** Returns bad news. */
    public static Notice problem(String headline, String detail) {
        return new Notice(Kind.PROBLEM, headline, detail);
    }

    /**
     * Returns what to tell of a failure. The engine's messages name place, value and remedy already; here the user hears which kind of thing failed, and
     * what to do where only the editor knows it.
     */
    public static Notice of(Throwable failure) {
        String message = Objects.requireNonNullElse(failure.getMessage(), "");
        return switch (failure) {
            case FormatException format -> problem("This file can't be read as it is", message);
            case NoSuchFileException missing ->
                problem("This file is not there", missing.getFile() + ": check the folder and the spelling");
            case FileNotFoundException missing -> problem("This file is not there", message + ": check the folder and the spelling");
            case AccessDeniedException denied -> problem("This file may not be opened",
                    denied.getFile() + ": give yourself the right to it, or choose another place");
            case FileSystemException disk -> problem("The disk refused", disk.getMessage() + ": choose another place");
            case IOException other -> problem("Reading or writing failed", message);
            case InvalidMeshException mesh -> problem("These meshes can't be used yet", message);
            case IllegalArgumentException wrong -> problem("This can't be done with these settings", message);
            case OutOfMemoryError full -> problem("Too little memory",
                    "Take smaller maps or fewer high polys, or start the editor with a larger heap: ESTAMPAGE_JAVA_OPTIONS=-Xmx12g");
            default -> {
                System.getLogger(Notice.class.getName()).log(System.Logger.Level.ERROR, "unexpected", failure);
                yield problem("Something unexpected happened; the editor goes on",
                        failure.getClass().getSimpleName() + (message.isEmpty() ? "" : ": " + message));
            }
        };
    }
}
