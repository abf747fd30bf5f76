package org.estampage.console;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import org.jspecify.annotations.Nullable;

/** Lines as they come from a file or another program, without a word to anybody. */
final class PlainLines implements Lines {
    private final BufferedReader reader;

    PlainLines(InputStream in) {
        reader = new BufferedReader(new InputStreamReader(in, StandardCharsets.UTF_8));
    }

    @Override
    public @Nullable String next(boolean begun) throws IOException {
        return reader.readLine();
    }

    @Override
    public void close() {
        // the stream is the caller's
    }
}
