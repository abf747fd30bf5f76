package org.estampage.maps;

import java.util.ArrayList;
import java.util.List;
import org.estampage.bake.MapFormat;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.finding.Finding;

/**
 * A map that was made ready for a job's high polys: in all but its values and what was noticed it is the map that it was made of.
 *
 * @threads immutable once it is made
 */
abstract class ReadyMap implements SurfaceMap {
    private final SurfaceMap map;
    private final List<Finding> findings = new ArrayList<>();

    ReadyMap(SurfaceMap map) {
        this.map = map;
    }

    /** Keeps what was noticed; for constructors. */
    final void notice(List<Finding> noticed) {
        findings.addAll(noticed);
    }

    final void notice(Finding noticed) {
        findings.add(noticed);
    }

    @Override
    public final String name() {
        return map.name();
    }

    @Override
    public MapFormat format() {
        return map.format();
    }

    @Override
    public final Reduction reduction() {
        return map.reduction();
    }

    @Override
    public final List<HemisphereQuery> queries() {
        return map.queries();
    }

    @Override
    public final List<Finding> findings() {
        return List.copyOf(findings);
    }
}
