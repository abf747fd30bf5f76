package org.estampage.testresources;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;

/**
 * Reads the tables of numbers that lie beside this class: lines starting with # tell the source, one header line names the columns.
 *
 * @threads stateless
 */
public final class Tables {
    private Tables() {
    }

    /**
     * Returns the rows of a table.
     *
     * @throws IllegalArgumentException if there is no table of that name
     * @throws NumberFormatException    if a cell is not a number
     */
    public static double[][] rows(String name) {
        try (InputStream in = Tables.class.getResourceAsStream(name)) {
            if (in == null) {
                throw new IllegalArgumentException("table " + name + " must lie beside " + Tables.class.getName());
            }
            return new String(in.readAllBytes(), StandardCharsets.UTF_8).lines().filter(line -> !line.isBlank() && !line.startsWith("#"))
                    .skip(1)
                    .map(line -> Arrays.stream(line.split(",")).mapToDouble(Double::parseDouble).toArray()).toArray(double[][]::new);
        } catch (IOException e) {
            throw new UncheckedIOException("table " + name, e);
        }
    }
}
