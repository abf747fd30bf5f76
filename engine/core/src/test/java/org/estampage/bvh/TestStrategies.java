package org.estampage.bvh;

import java.util.ArrayList;
import java.util.List;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.internal.kernel.Kernels;

/** Every builder and every layout, for tests of what all of them promise. A new one is one line here. */
final class TestStrategies {
    private TestStrategies() {
    }

    static List<TreeBuilder> builders() {
        List<TreeBuilder> all = new ArrayList<>();
        all.add(new BinnedSahBuilder(BoxLoops.scalar()));
        if (Kernels.areVectors()) {
            all.add(new BinnedSahBuilder(BoxLoops.vector()));
        }
        all.add(new MortonBuilder());
        all.add(new AgglomerativeBuilder());
        return all;
    }

    static List<TreeLayout> layouts() {
        List<TreeLayout> all = new ArrayList<>();
        all.add(new BinaryLayout());
        if (Kernels.areVectors()) {
            all.add(WideLayout.of(8));
            all.add(WideLayout.of(Kernels.lanes()).withoutVectors());
            all.add(WideLayout.of(Kernels.lanes()).raysTogether(1));
        }
        if (Kernels.lanes() >= 16) { // on narrower vectors it would take minutes; WideLayoutTest walks it a little there
            all.add(WideLayout.of(16));
        }
        return all;
    }

    /** Returns every builder with every layout. */
    static List<Strategy> all() {
        List<Strategy> all = new ArrayList<>();
        for (TreeLayout layout : layouts()) {
            for (TreeBuilder builder : builders()) {
                all.add(new Strategy(builder, layout));
            }
        }
        return all;
    }

    /** Returns every layout once, with builders in turn. */
    static List<Strategy> everyLayout() {
        List<Strategy> all = new ArrayList<>();
        for (TreeLayout layout : layouts()) {
            all.add(new Strategy(builders().get(all.size() % builders().size()), layout));
        }
        return all;
    }
}
