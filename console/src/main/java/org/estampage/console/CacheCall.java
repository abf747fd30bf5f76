package org.estampage.console;

import java.util.Locale;
import org.estampage.session.Cache;
import org.jspecify.annotations.Nullable;

/**
 * The cache of this session: its options count from now on.
 *
 * @threads confined
 */
public final class CacheCall {
    private static final double GIGABYTE = 1e9;

    private final Session session;

    CacheCall(Session session) {
        this.session = session;
    }

    /**
     * Sets how much it may hold; what was not used for longest goes when the next value is kept.
     *
     * @throws IllegalArgumentException if it is negative or not finite
     * @throws IllegalStateException    if the cache is off
     */
    public CacheCall limit(double gigabytes) {
        if (!(gigabytes >= 0 && gigabytes < Long.MAX_VALUE / GIGABYTE)) {
            throw new IllegalArgumentException("gigabytes = " + gigabytes + " must be finite and at least 0");
        }
        session.keepIn(on().withLimit((long) (gigabytes * GIGABYTE)));
        return this;
    }

    /** Keeps values in another folder, and turns the cache on where it was off. */
    public CacheCall folder(String path) {
        Cache before = session.cache();
        Cache there = Cache.in(session.resolve(path));
        session.keepIn(before == null ? there : there.withLimit(before.limit()));
        return this;
    }

    /** Works everything out from now on, and keeps nothing. */
    public CacheCall off() {
        session.keepIn(null);
        return this;
    }

    /**
     * Deletes all that is kept.
     *
     * @throws IllegalStateException if the cache is off
     */
    public CacheCall clear() {
        on().clear();
        return this;
    }

    private Cache on() {
        Cache cache = session.cache();
        if (cache == null) {
            throw new IllegalStateException("the cache is off: cache().folder(\"…\") turns it on");
        }
        return cache;
    }

    @Override
    public String toString() {
        @Nullable
        Cache cache = session.cache();
        if (cache == null) {
            return "off";
        }
        String state = String.format(Locale.ROOT,
                "%s: %,d values, %.2f GB of at most %.2f; %,d taken from it in this session, %,d worked out",
                cache.folder(), cache.count(), cache.size() / GIGABYTE, cache.limit() / GIGABYTE, cache.hits(), cache.misses());
        return cache.trouble().map(trouble -> state + System.lineSeparator() + trouble).orElse(state);
    }
}
