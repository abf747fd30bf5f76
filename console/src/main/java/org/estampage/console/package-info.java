/**
 * The scripting console: runs scripts in JShell within this JVM, with the engine's operations preloaded as verbs; without a script, a prompt.
 *
 * <p>Obeys: a verb is one line that calls the engine; relative paths are the caller's; messages for people go to the error stream, what scripts print
 * goes to the output stream. Start reading at {@link org.estampage.console.Main}, for the verbs at {@link org.estampage.console.Verbs}. Has no logic
 * of its own about meshes or maps.
 */
@NullMarked
package org.estampage.console;

import org.jspecify.annotations.NullMarked;
