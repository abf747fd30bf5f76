package org.estampage.finding;

import java.util.AbstractList;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.stream.Collectors;

/**
 * An immutable list of findings that prints one finding a line, and nothing when it is empty.
 *
 * @threads immutable
 */
public final class Findings extends AbstractList<Finding> {
    private static final Findings NONE = new Findings(List.of());

    private final List<Finding> list;

    private Findings(List<Finding> list) {
        this.list = list;
    }

    /** Returns the empty list. */
    public static Findings none() {
        return NONE;
    }

    /** Returns these findings in this order. */
    public static Findings of(Collection<Finding> findings) {
        return findings.isEmpty() ? NONE : new Findings(List.copyOf(findings));
    }

    /** Returns these findings followed by {@code more}. */
    public Findings with(Collection<Finding> more) {
        if (more.isEmpty()) {
            return this;
        }
        List<Finding> all = new ArrayList<>(list);
        all.addAll(more);
        return of(all);
    }

    /** Returns whether one of these is at least as severe as {@code severity}. */
    public boolean has(Severity severity) {
        return list.stream().anyMatch(f -> f.severity().compareTo(severity) >= 0);
    }

    /** Returns the findings of one kind. */
    public Findings ofKind(String kind) {
        return of(list.stream().filter(f -> f.kind().equals(kind)).toList());
    }

    @Override
    public Finding get(int index) {
        return list.get(index);
    }

    @Override
    public int size() {
        return list.size();
    }

    @Override
    public String toString() {
        return list.stream().map(Finding::toString).collect(Collectors.joining("\n"));
    }
}
