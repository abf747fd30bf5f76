package org.estampage.floorplan;

import com.tngtech.archunit.core.domain.Dependency;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** The floors of the engine below a root package, and what breaks them. */
final class FloorPlan {
    private static final int ALL = 9;

    /** Floor of each room; a room sees lower floors, never its own. */
    private static final Map<String, Integer> FLOORS = new LinkedHashMap<>();

    static {
        FLOORS.put("internal.kernel", -1);
        FLOORS.put("task", 0);
        FLOORS.put("finding", 0);
        FLOORS.put("image", 1);
        FLOORS.put("mesh", 2);
        FLOORS.put("bvh", 3);
        FLOORS.put("raster", 3);
        FLOORS.put("uv", 4);
        FLOORS.put("lowpoly", 4);
        FLOORS.put("cage", 4);
        FLOORS.put("bake", 5);
        FLOORS.put("maps", 6);
        FLOORS.put("material", 6);
        FLOORS.put("preview", 7);
        FLOORS.put("handover", 8);
        FLOORS.put("report", 8);
        FLOORS.put("session", ALL);
    }

    /** Rooms that see less than all that is below them. */
    private static final Map<String, Set<String>> ONLY = Map.of("internal.kernel", Set.of(), "material", Set.of("task", "finding", "image"),
            "io",
            Set.of("task", "finding", "image", "mesh"));

    /** Libraries beside the JDK and JSpecify, and the rooms that may use them. */
    private static final Map<String, Integer> LIBRARIES = Map.of("org.joml.", 2);

    private final String root;

    FloorPlan(String root) {
        this.root = root;
    }

    /** Returns one sentence for every dependency that the plan does not allow. */
    List<String> violations(JavaClasses classes) {
        List<String> found = new ArrayList<>();
        for (JavaClass from : classes) {
            String room = room(from.getPackageName());
            if (room == null) {
                continue;
            }
            if (!FLOORS.containsKey(room) && !room.equals("io") && !room.startsWith("io.")) {
                found.add(from.getPackageName() + " is in no room of the floor plan");
                continue;
            }
            for (Dependency dependency : from.getDirectDependenciesFromSelf()) {
                JavaClass target = dependency.getTargetClass().getBaseComponentType();
                String problem = problem(room, target);
                if (problem != null) {
                    found.add(from.getName() + " uses " + target.getName() + ": " + problem);
                }
            }
        }
        return found.stream().distinct().sorted().toList();
    }

    private @Nullable String problem(String room, JavaClass target) {
        String name = target.getName();
        if (name.startsWith("jdk.incubator.vector.") && !room.equals("internal.kernel")) {
            return "the Vector API is only for internal.kernel";
        }
        for (Map.Entry<String, Integer> library : LIBRARIES.entrySet()) {
            if (name.startsWith(library.getKey()) && floor(room) < library.getValue()) {
                return "this library is for floor " + library.getValue() + " and above";
            }
        }
        String other = room(target.getPackageName());
        if (other == null || other.equals(room)) {
            return null;
        }
        if (isIo(room)) {
            if (isIo(other)) {
                return ioFloor(other) < ioFloor(room) ? null : "io sees its formats, formats see io.shared, all see io.format";
            }
            return ONLY.getOrDefault("io", Set.of()).contains(other) ? null : "io sees task, finding, image and mesh only";
        }
        if (isIo(other)) {
            return floor(room) >= 8 ? null : "only floor 8 and above see io";
        }
        if (ONLY.containsKey(room) && !ONLY.get(room).contains(other)) {
            return room + " sees only " + ONLY.get(room);
        }
        if (other.equals("internal.kernel")) {
            return null;
        }
        return floor(other) < floor(room) ? null : "floor " + floor(room) + " does not see floor " + floor(other);
    }

    /** Floors within io: it chooses among its formats, formats see what they share, and nothing looks back up. */
    private static int ioFloor(String room) {
        return switch (room) {
            case "io" -> 3;
            case "io.shared" -> 1;
            case "io.format" -> 0;
            default -> 2;
        };
    }

    private static boolean isIo(String room) {
        return room.equals("io") || room.startsWith("io.");
    }

    private static int floor(String room) {
        return isIo(room) ? 2 : FLOORS.getOrDefault(room, ALL);
    }

    /** Returns the room of a package, null outside the root. */
    private @Nullable String room(String packageName) {
        return packageName.startsWith(root + ".") ? packageName.substring(root.length() + 1) : null;
    }
}
