package org.estampage.session;

import java.io.IOException;
import java.io.OutputStream;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.RecordComponent;
import java.time.Duration;
import java.util.Collection;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/**
 * Writes values by what they hold: numbers, texts, lists, maps, records and enums of the engine, meshes, images. Each begins with its {@link Kind}, so that
 * values of different kinds are never the same bytes.
 *
 * @threads confined
 */
class ValueOut {
    /** What comes next. */
    enum Kind {
        NULL, BOOLEAN, BYTE, SHORT, CHARACTER, INT, LONG, FLOAT, DOUBLE, TEXT, ENUM, LIST, MAP, RECORD, ABSENT, PRESENT, ABSENT_INT, PRESENT_INT, ABSENT_DOUBLE, PRESENT_DOUBLE, DURATION, BYTES, INTS, LONGS, FLOATS, DOUBLES, BOOLEANS, ARRAY, MESH, IMAGE, OBJECT, SEEN
    }

    private final ByteOut out;

    ValueOut(OutputStream out) {
        this.out = new ByteOut(out);
    }

    ByteOut bytes() {
        return out;
    }

    @SuppressWarnings("EnumOrdinal") // never outlives the code: it is of every key
    final void kind(Kind kind) throws IOException {
        out.put(kind.ordinal());
    }

    /**
     * Writes a value.
     *
     * @throws NoFormException if it, or something in it, is of a class that has no form here
     */
    final void put(@Nullable Object value) throws IOException {
        switch (value) {
            case null -> kind(Kind.NULL);
            case Boolean b -> putNumber(Kind.BOOLEAN, b ? 1 : 0);
            case Byte b -> putNumber(Kind.BYTE, b);
            case Short s -> putNumber(Kind.SHORT, s);
            case Character c -> putNumber(Kind.CHARACTER, c);
            case Integer i -> putNumber(Kind.INT, i);
            case Long l -> putNumber(Kind.LONG, l);
            case Float f -> putNumber(Kind.FLOAT, Float.floatToRawIntBits(f));
            case Double d -> putNumber(Kind.DOUBLE, Double.doubleToRawLongBits(d));
            case String s -> {
                kind(Kind.TEXT);
                out.putText(s);
            }
            case Enum<?> e -> {
                kind(Kind.ENUM);
                out.putText(e.getDeclaringClass().getName());
                out.putText(e.name());
            }
            case Duration d -> {
                kind(Kind.DURATION);
                out.putLong(d.getSeconds());
                out.putInt(d.getNano());
            }
            case Optional<?> o -> {
                kind(o.isPresent() ? Kind.PRESENT : Kind.ABSENT);
                if (o.isPresent()) {
                    put(o.get());
                }
            }
            case OptionalInt o -> putNumber(o.isPresent() ? Kind.PRESENT_INT : Kind.ABSENT_INT, o.orElse(0));
            case OptionalDouble o -> putNumber(o.isPresent() ? Kind.PRESENT_DOUBLE : Kind.ABSENT_DOUBLE,
                    Double.doubleToRawLongBits(o.orElse(0)));
            case Collection<?> c -> {
                kind(Kind.LIST);
                out.putInt(c.size());
                for (Object each : c) {
                    put(each);
                }
            }
            case Map<?, ?> m -> { // in its own order, which can reach a value
                kind(Kind.MAP);
                out.putInt(m.size());
                for (Map.Entry<?, ?> each : m.entrySet()) {
                    put(each.getKey());
                    put(each.getValue());
                }
            }
            case Mesh m -> putMesh(m);
            case FloatImage i -> {
                kind(Kind.IMAGE);
                ImageForm.write(i, this);
            }
            default -> {
                if (isLeftOut(value)) {
                    kind(Kind.OBJECT);
                } else if (value.getClass().isArray()) {
                    putArray(value);
                } else if (value instanceof Record r && EngineClasses.has(r.getClass())) {
                    putRecord(r);
                } else {
                    putOther(value);
                }
            }
        }
    }

    private void putNumber(Kind kind, long bits) throws IOException {
        kind(kind);
        out.putLong(bits);
    }

    /** Writes a mesh. */
    void putMesh(Mesh mesh) throws IOException {
        kind(Kind.MESH);
        MeshForm.write(mesh, this);
    }

    /** Returns whether a value does not count; here all do. */
    boolean isLeftOut(Object value) {
        return false;
    }

    /** Writes what has no other form: here nothing. */
    void putOther(Object value) throws IOException {
        throw new NoFormException(value.getClass());
    }

    private void putArray(Object array) throws IOException {
        switch (array) {
            case byte[] a -> {
                head(Kind.BYTES, a.length);
                out.putBytes(a);
            }
            case int[] a -> {
                head(Kind.INTS, a.length);
                out.putInts(a);
            }
            case long[] a -> {
                head(Kind.LONGS, a.length);
                out.putLongs(a);
            }
            case float[] a -> {
                head(Kind.FLOATS, a.length);
                out.putFloats(a, a.length);
            }
            case double[] a -> {
                head(Kind.DOUBLES, a.length);
                for (double each : a) {
                    out.putLong(Double.doubleToRawLongBits(each));
                }
            }
            case boolean[] a -> {
                head(Kind.BOOLEANS, a.length);
                for (boolean each : a) {
                    out.put(each ? 1 : 0);
                }
            }
            case Object[] a -> {
                head(Kind.ARRAY, a.length);
                for (Object each : a) {
                    put(each);
                }
            }
            default -> throw new NoFormException(array.getClass());
        }
    }

    private void head(Kind kind, int length) throws IOException {
        kind(kind);
        out.putInt(length);
    }

    private void putRecord(Record record) throws IOException {
        kind(Kind.RECORD);
        out.putText(record.getClass().getName());
        for (RecordComponent component : record.getClass().getRecordComponents()) {
            try {
                component.getAccessor().setAccessible(true);
                put(component.getAccessor().invoke(record));
            } catch (IllegalAccessException | InvocationTargetException e) {
                throw new IllegalStateException("accessors of the engine's records can be called", e);
            }
        }
    }
}
