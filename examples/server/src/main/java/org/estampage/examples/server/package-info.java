/**
 * A bake as a job over HTTP, by the JDK's own server: how a service of a studio would embed the engine, through its public API only.
 *
 * <p>Start reading at {@link org.estampage.examples.server.BakeServer}; {@link org.estampage.examples.server.Bake} is where the engine is called. Obeys:
 * nothing that a client sends names a file or is taken without a limit; each job has a folder of its own, which goes with it; no static state, so
 * that several servers can run in one program. Does not know users: who may reach the server is up to what stands before it.
 */
@NullMarked
package org.estampage.examples.server;

import org.jspecify.annotations.NullMarked;
