package org.estampage.api;

import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayOutputStream;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.assertj.core.api.ThrowableAssert.ThrowingCallable;
import org.estampage.bake.BakeJob;
import org.estampage.bake.Baker;
import org.estampage.io.exr.ExrWriter;
import org.estampage.lowpoly.Decimate;
import org.estampage.maps.HeightMap;
import org.estampage.material.ChannelPack;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.uv.Atlas;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/** What is started without what it can't do without says so, and what to call. */
class HalfFilledTest {
    private static Mesh triangle(boolean uvs) {
        Mesh.Builder mesh = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).name("plate");
        return uvs ? mesh.uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 0, 1}, new int[] {0, 1, 2})).build() : mesh.build();
    }

    private static Arguments of(String name, String said, ThrowingCallable call) {
        return Arguments.of(name, said, call);
    }

    static Stream<Arguments> halfFilled() {
        Mesh low = triangle(true);
        return Stream.of(
                of("job without a high poly", "high", () -> BakeJob.of(low).maps(HeightMap.create()).build()),
                of("job without maps", "maps", () -> BakeJob.of(low, low).build()),
                of("job onto a mesh without UVs", "UV",
                        () -> Baker.create().bake(BakeJob.of(triangle(false), low).size(8).maps(HeightMap.create()).build(),
                                Task.silent())),
                of("decimation without an aim", "triangles", () -> Decimate.of(low).build()),
                of("atlas of nothing", "mesh", () -> Atlas.of().build()),
                of("pack without channels", "channel", () -> ChannelPack.create().build()),
                of("EXR file without layers", "layer",
                        () -> ExrWriter.write(List.of(), Map.of(), new ByteArrayOutputStream(), Task.silent())));
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource
    void halfFilled(String name, String said, ThrowingCallable call) {
        assertThatThrownBy(call).as(name).isInstanceOfAny(IllegalArgumentException.class, IllegalStateException.class)
                .hasMessageContaining(said);
    }
}
