package org.estampage.examples.editor.view;

import java.awt.Toolkit;
import java.io.BufferedReader;
import java.io.File;
import java.io.IOException;
import java.io.InputStreamReader;
import java.lang.foreign.Arena;
import java.lang.foreign.FunctionDescriptor;
import java.lang.foreign.Linker;
import java.lang.foreign.ValueLayout;
import java.lang.invoke.MethodHandle;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Objects;
import java.util.Optional;

/**
 * An X display that nobody looks at, with a free number, for this JVM's windows. It ends with the JVM: the window toolkit does not live without its display,
 * and ends the JVM where it loses it.
 */
final class Screen {
    private Screen() {
    }

    /** Returns the server's program, if it is installed. */
    static Optional<Path> program() {
        String path = Objects.requireNonNullElse(System.getenv("PATH"), "");
        return Arrays.stream(path.split(File.pathSeparator)).map(folder -> Path.of(folder, "Xvfb")).filter(Files::isExecutable).findFirst();
    }

    /** Starts a display and lets this JVM's windows appear there. To be called before there is one. */
    static void open(Path program, int width, int height) throws IOException {
        // With -displayfd the server takes the first number that is free, and says which once it answers; with -terminate it ends after its last client.
        Process server = new ProcessBuilder(program.toString(), "-displayfd", "1", "-terminate", "-screen", "0",
                width + "x" + height + "x24", "-nolisten", "tcp")
                .redirectError(ProcessBuilder.Redirect.DISCARD).start();
        BufferedReader said = new BufferedReader(new InputStreamReader(server.getInputStream(), StandardCharsets.US_ASCII));
        String number = said.readLine();
        if (number == null) {
            throw new IOException(program + " ended before it had a display");
        }
        setEnvironment("DISPLAY", ":" + number.strip());
        Toolkit.getDefaultToolkit(); // the client that keeps it
    }

    /** Java can't change its own environment, where the window toolkit's native code looks for the display; the C library can. */
    @SuppressWarnings("restricted") // the test's JVM is started with --enable-native-access
    private static void setEnvironment(String name, String value) {
        Linker linker = Linker.nativeLinker();
        MethodHandle setenv = linker.downcallHandle(linker.defaultLookup().findOrThrow("setenv"),
                FunctionDescriptor.of(ValueLayout.JAVA_INT, ValueLayout.ADDRESS, ValueLayout.ADDRESS, ValueLayout.JAVA_INT));
        try (Arena arena = Arena.ofConfined()) {
            int failed = (int) setenv.invokeExact(arena.allocateFrom(name), arena.allocateFrom(value), 1);
            if (failed != 0) {
                throw new IllegalStateException("setenv said " + failed);
            }
        } catch (RuntimeException | Error e) {
            throw e;
        } catch (Throwable impossible) { // the signature of method handles; a C function throws nothing
            throw new IllegalStateException(impossible);
        }
    }
}
