package org.estampage.session;

import java.io.IOException;

/** Says that a value can't be written, or that its content can't be told; the message is its class. */
final class NoFormException extends IOException {
    private static final long serialVersionUID = 1;

    NoFormException(Class<?> type) {
        super(type.getName());
    }
}
