package org.estampage.benchmarks.reference;

import static java.lang.foreign.ValueLayout.ADDRESS;
import static java.lang.foreign.ValueLayout.JAVA_INT;
import static java.lang.foreign.ValueLayout.JAVA_LONG;

import java.lang.foreign.Arena;
import java.lang.foreign.FunctionDescriptor;
import java.lang.foreign.Linker;
import java.lang.foreign.SymbolLookup;
import java.lang.invoke.MethodHandle;
import java.nio.file.Path;

/**
 * The functions of {@code reference.c}.
 *
 * @threads immutable
 */
final class NativeLibrary {
    final MethodHandle build;
    final MethodHandle release;
    final MethodHandle closest;
    final MethodHandle any;

    /**
     * Loads the library for the rest of the process.
     *
     * @throws UnsatisfiedLinkError if it, or the library behind it, can't be loaded
     */
    @SuppressWarnings("restricted")
    NativeLibrary(Path path) {
        SymbolLookup lookup;
        try {
            lookup = SymbolLookup.libraryLookup(path.toAbsolutePath(), Arena.global());
        } catch (IllegalArgumentException e) {
            throw (Error) new UnsatisfiedLinkError(path + " or what it needs can't be loaded").initCause(e);
        }
        build = function(lookup, "reference_build", FunctionDescriptor.of(ADDRESS, ADDRESS, JAVA_INT, ADDRESS, JAVA_INT, JAVA_INT, JAVA_INT,
                ADDRESS, ADDRESS));
        release = function(lookup, "reference_release", FunctionDescriptor.ofVoid(ADDRESS));
        closest = function(lookup, "reference_closest",
                FunctionDescriptor.ofVoid(ADDRESS, JAVA_INT, JAVA_INT, ADDRESS, JAVA_LONG, JAVA_LONG,
                        JAVA_LONG, ADDRESS, ADDRESS));
        any = function(lookup, "reference_any",
                FunctionDescriptor.ofVoid(ADDRESS, JAVA_INT, JAVA_INT, ADDRESS, JAVA_LONG, JAVA_LONG, JAVA_LONG,
                        ADDRESS));
    }

    @SuppressWarnings("restricted")
    private static MethodHandle function(SymbolLookup lookup, String name, FunctionDescriptor descriptor) {
        return Linker.nativeLinker().downcallHandle(
                lookup.find(name).orElseThrow(() -> new UnsatisfiedLinkError(name + " is not in the library")), descriptor);
    }
}
