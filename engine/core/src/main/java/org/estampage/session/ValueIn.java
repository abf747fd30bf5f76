package org.estampage.session;

import java.io.IOException;
import java.io.InputStream;
import java.lang.reflect.Constructor;
import java.lang.reflect.RecordComponent;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.estampage.task.MemoryBudget;
import org.jspecify.annotations.Nullable;

/**
 * Reads values that {@link ValueOut} wrote. Of objects only records and enums of the engine are made, through their own checks.
 *
 * @threads confined
 */
final class ValueIn {
    private static final ValueOut.Kind[] KINDS = ValueOut.Kind.values();

    private final ByteIn in;
    private final MemoryBudget memory;

    /**
     * Begins to read.
     *
     * @param size   how many bytes there are
     * @param memory what images may take
     */
    ValueIn(InputStream in, long size, MemoryBudget memory) {
        this.in = new ByteIn(in, size);
        this.memory = memory;
    }

    ByteIn bytes() {
        return in;
    }

    MemoryBudget memory() {
        return memory;
    }

    /** Reads a value of a class. */
    <T> T get(Class<T> type) throws IOException {
        Object value = get();
        if (!type.isInstance(value)) {
            throw new IOException("it holds no " + type.getName());
        }
        return type.cast(value);
    }

    /** Reads a list of values of a class. */
    <T> List<T> list(Class<T> type) throws IOException {
        List<T> list = new ArrayList<>();
        for (Object each : get(List.class)) {
            if (!type.isInstance(each)) {
                throw new IOException("it holds no " + type.getName());
            }
            list.add(type.cast(each));
        }
        return list;
    }

    @Nullable
    Object get() throws IOException {
        int number = in.get();
        if (number >= KINDS.length) {
            throw new IOException("there is no kind " + number);
        }
        return switch (KINDS[number]) {
            case NULL -> null;
            case BOOLEAN -> in.getLong() != 0;
            case BYTE -> (byte) in.getLong();
            case SHORT -> (short) in.getLong();
            case CHARACTER -> (char) in.getLong();
            case INT -> (int) in.getLong();
            case LONG -> in.getLong();
            case FLOAT -> Float.intBitsToFloat((int) in.getLong());
            case DOUBLE -> Double.longBitsToDouble(in.getLong());
            case TEXT -> in.getText();
            case ENUM -> constant(in.getText(), in.getText());
            case DURATION -> Duration.ofSeconds(in.getLong(), in.getInt());
            case ABSENT -> Optional.empty();
            case PRESENT -> Optional.ofNullable(get());
            case ABSENT_INT -> {
                in.getLong();
                yield OptionalInt.empty();
            }
            case PRESENT_INT -> OptionalInt.of((int) in.getLong());
            case ABSENT_DOUBLE -> {
                in.getLong();
                yield OptionalDouble.empty();
            }
            case PRESENT_DOUBLE -> OptionalDouble.of(Double.longBitsToDouble(in.getLong()));
            case LIST -> Collections.unmodifiableList(Arrays.asList(values(in.count(1))));
            case MAP -> map(in.count(2));
            case RECORD -> record(in.getText());
            case BYTES -> in.getBytes(in.getInt());
            case INTS -> in.getInts(in.getInt());
            case LONGS -> in.getLongs(in.getInt());
            case FLOATS -> in.getFloats(in.getInt());
            case DOUBLES -> Arrays.stream(in.getLongs(in.getInt())).mapToDouble(Double::longBitsToDouble).toArray();
            case MESH -> MeshForm.read(this);
            case IMAGE -> ImageForm.read(this);
            case BOOLEANS, ARRAY, OBJECT, SEEN -> throw new IOException("values of kind " + KINDS[number] + " are only fingerprinted");
        };
    }

    private @Nullable Object[] values(int count) throws IOException {
        @Nullable
        Object[] values = new @Nullable Object[count];
        for (int i = 0; i < count; i++) {
            values[i] = get();
        }
        return values;
    }

    private Map<Object, Object> map(int count) throws IOException {
        Map<Object, Object> map = new LinkedHashMap<>();
        for (int i = 0; i < count; i++) {
            map.put(get(Object.class), get(Object.class));
        }
        return Collections.unmodifiableMap(map);
    }

    private static Class<?> engineClass(String name) throws IOException {
        try {
            Class<?> type = Class.forName(name, false, ValueIn.class.getClassLoader());
            if (EngineClasses.has(type)) {
                return type;
            }
        } catch (ClassNotFoundException e) {
            throw new IOException("there is no class " + name, e);
        }
        throw new IOException(name + " is not of the engine");
    }

    private static Object constant(String type, String name) throws IOException {
        Object[] constants = engineClass(type).getEnumConstants();
        for (int i = 0; constants != null && i < constants.length; i++) {
            if (constants[i] instanceof Enum<?> e && e.name().equals(name)) {
                return e;
            }
        }
        throw new IOException("there is no " + type + "." + name);
    }

    private Object record(String name) throws IOException {
        Class<?> type = engineClass(name);
        RecordComponent[] components = type.getRecordComponents();
        if (components == null) {
            throw new IOException(name + " is no record");
        }
        try {
            Constructor<?> constructor = type.getDeclaredConstructor(Arrays.stream(components).map(RecordComponent::getType)
                    .toArray(Class<?>[]::new));
            constructor.setAccessible(true);
            return constructor.newInstance(values(components.length));
        } catch (ReflectiveOperationException | IllegalArgumentException e) {
            throw new IOException("it holds no " + name, e);
        }
    }
}
