package org.estampage.session;

import java.io.IOException;
import java.io.OutputStream;
import java.lang.reflect.Field;
import java.lang.reflect.Modifier;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.BitSet;
import java.util.Comparator;
import java.util.HexFormat;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import java.util.concurrent.Executor;
import java.util.function.Function;
import org.estampage.bake.BakeResult;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Recall;
import org.estampage.task.Task;

/**
 * The SHA-256 of all that values hold.
 *
 * <p>An object of the engine counts by its class and by every one of its fields, whatever they are called: an option that is added to an operation counts
 * without anybody having to think of it. Left out are the surroundings of an operation, which don't reach its value ({@link Task}, executors), and of a ray
 * tracer that was lent all but its number of triangles, because it is of a mesh that counts; and fields that are {@code transient}, by which operations mark
 * what else was lent for speed alone. Objects of other classes can't be told, lambdas least of all:
 * there is no fingerprint then.
 *
 * @threads confined
 * @source NIST, Secure Hash Standard, FIPS 180-4, 2015: SHA-256
 */
final class Fingerprint extends ValueOut {
    private final MessageDigest digest;
    private final Function<? super Mesh, String> ofMesh;
    /** Objects by their number: one that is met again counts as the number, so that rings come to an end. */
    private final IdentityHashMap<Object, Place> met = new IdentityHashMap<>();

    private Fingerprint(MessageDigest digest, Function<? super Mesh, String> ofMesh) {
        super(new Sink(digest));
        this.digest = digest;
        this.ofMesh = ofMesh;
    }

    /**
     * Returns the fingerprint of values in their order, 64 hexadecimal digits.
     *
     * @param ofMesh gives the fingerprint of a mesh, which may be known
     * @throws NoFormException if there is something that can't be told; the message is its class
     */
    static String of(Function<? super Mesh, String> ofMesh, Object... values) throws NoFormException {
        return of(new Fingerprint(sha256(), ofMesh), values);
    }

    private static String of(Fingerprint print, Object... values) throws NoFormException {
        try {
            for (Object value : values) {
                print.put(value);
            }
            print.bytes().flush();
        } catch (NoFormException e) {
            throw e;
        } catch (IOException e) {
            throw new IllegalStateException("a digest takes all", e);
        }
        return HexFormat.of().formatHex(print.digest.digest());
    }

    /** Returns the fingerprint of all that a mesh holds: names, materials and findings too, which operations pass on. */
    static String ofMesh(Mesh mesh) {
        Fingerprint print = new Fingerprint(sha256(), m -> "");
        try {
            MeshForm.write(mesh, print);
            print.bytes().flush();
        } catch (IOException e) {
            throw new IllegalStateException("all that a mesh holds has a form", e);
        }
        return HexFormat.of().formatHex(print.digest.digest());
    }

    static MessageDigest sha256() {
        try {
            return MessageDigest.getInstance("SHA-256");
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }

    @Override
    void putMesh(Mesh mesh) throws IOException {
        kind(Kind.MESH);
        bytes().putText(ofMesh.apply(mesh));
    }

    @Override
    void putOther(Object value) throws IOException {
        Place place = met.get(value);
        if (place != null) {
            kind(Kind.SEEN);
            bytes().putInt(place.number);
            return;
        }
        met.put(value, new Place(met.size()));
        kind(Kind.OBJECT);
        if (value instanceof RayTracer tracer) {
            bytes().putInt(tracer.triangleCount());
            return;
        }
        if (value instanceof Without part) {
            putFields(part.whole, part.fields);
            return;
        }
        if (value instanceof BitSet bits) {
            put(bits.toLongArray());
            return;
        }
        if (value instanceof BakeResult result) { // what it is, and not what it cost
            put(List.of(result.job(), result.low(), result.cage(), result.tiles(), result.findings()));
            return;
        }
        if (!EngineClasses.has(value.getClass())) {
            throw new NoFormException(value.getClass());
        }
        bytes().putText(value.getClass().getName());
        putFields(value, Set.of());
    }

    private void putFields(Object value, Set<String> without) throws IOException {
        for (Field field : fields(value.getClass())) {
            if (without.contains(field.getName())) {
                continue;
            }
            if (!EngineClasses.has(field.getDeclaringClass())) {
                throw new NoFormException(field.getDeclaringClass());
            }
            bytes().putText(field.getName());
            try {
                field.setAccessible(true);
                put(field.get(value));
            } catch (IllegalAccessException e) {
                throw new IllegalStateException("fields of the engine's classes can be read", e);
            }
        }
    }

    /** Returns all fields of an object in an order that is always the same. */
    private static List<Field> fields(Class<?> type) {
        List<Field> fields = new ArrayList<>();
        for (Class<?> c = type; c != null && c != Object.class; c = c.getSuperclass()) {
            for (Field field : c.getDeclaredFields()) {
                if (!Modifier.isStatic(field.getModifiers()) && !Modifier.isTransient(field.getModifiers())) {
                    fields.add(field);
                }
            }
        }
        fields.sort(Comparator.comparing(Field::getName).thenComparing(f -> f.getDeclaringClass().getName()));
        return fields;
    }

    @Override
    boolean isLeftOut(Object value) {
        return switch (value) {
            case Task t -> true;
            case Progress p -> true;
            case Cancellation c -> true;
            case MemoryBudget m -> true;
            case Recall r -> true;
            case Executor e -> true;
            default -> false;
        };
    }

    /** An object of which some fields don't count. */
    static final class Without {
        private final Object whole;
        private final Set<String> fields;

        /**
         * Makes one.
         *
         * @param whole  the object
         * @param fields the names of those that don't count
         */
        Without(Object whole, Set<String> fields) {
            this.whole = whole;
            this.fields = Set.copyOf(fields);
        }
    }

    /** Which object it was. */
    private record Place(int number) {
    }

    /** Bytes into a digest. */
    private static final class Sink extends OutputStream {
        private final MessageDigest digest;

        Sink(MessageDigest digest) {
            this.digest = digest;
        }

        @Override
        public void write(int b) {
            digest.update((byte) b);
        }

        @Override
        public void write(byte[] b, int from, int length) {
            digest.update(b, from, length);
        }
    }
}
