package org.estampage.benchmarks.reference;

import static java.lang.foreign.ValueLayout.ADDRESS;
import static java.lang.foreign.ValueLayout.JAVA_INT;
import static java.lang.foreign.ValueLayout.JAVA_LONG;

import java.lang.foreign.Arena;
import java.lang.foreign.FunctionDescriptor;
import java.lang.foreign.Linker;
import java.lang.foreign.MemorySegment;
import java.lang.invoke.MethodHandle;
import java.lang.management.ManagementFactory;
import org.jspecify.annotations.Nullable;

/**
 * Processor time of the whole process, as {@code clock_gettime} tells it: the JDK's own counts hundredths of a second on Linux, which is a tenth of a
 * quick build. Elsewhere the JDK's.
 *
 * @threads stateless
 */
public final class ProcessClock {
    /** CLOCK_PROCESS_CPUTIME_ID of Linux. */
    private static final int PROCESS = 2;
    private static final com.sun.management.OperatingSystemMXBean SYSTEM = (com.sun.management.OperatingSystemMXBean) ManagementFactory
            .getOperatingSystemMXBean();
    private static final @Nullable MethodHandle CLOCK = clock();

    private ProcessClock() {
    }

    /** Returns the seconds since some moment. */
    public static double seconds() {
        if (CLOCK == null) {
            return 1e-9 * SYSTEM.getProcessCpuTime();
        }
        try (Arena call = Arena.ofConfined()) {
            MemorySegment time = call.allocate(JAVA_LONG, 2);
            int status = (int) CLOCK.invokeExact(PROCESS, time);
            if (status != 0) {
                throw new IllegalStateException("clock_gettime says " + status);
            }
            return time.getAtIndex(JAVA_LONG, 0) + 1e-9 * time.getAtIndex(JAVA_LONG, 1);
        } catch (RuntimeException | Error e) {
            throw e;
        } catch (Throwable e) {
            throw new IllegalStateException(e);
        }
    }

    @SuppressWarnings("restricted")
    private static @Nullable MethodHandle clock() {
        // Its two longs and the number of the clock are Linux's on 64-bit machines.
        if (!System.getProperty("os.name", "").equals("Linux") || ADDRESS.byteSize() != Long.BYTES) {
            return null;
        }
        Linker linker = Linker.nativeLinker();
        return linker.defaultLookup().find("clock_gettime")
                .map(function -> linker.downcallHandle(function, FunctionDescriptor.of(JAVA_INT, JAVA_INT, ADDRESS))).orElse(null);
    }
}
