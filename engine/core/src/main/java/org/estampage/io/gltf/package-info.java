/**
 * glTF 2.0 files: GLB, and JSON with its buffers beside it.
 *
 * <p>Obeys: counts are checked against the sizes of what holds them before anything is allocated; a file reaches no other folder than its own. Start
 * reading at {@link org.estampage.io.gltf.GltfFormat} for meshes, at {@link org.estampage.io.gltf.GltfModel} for deliveries with textures. Does not
 * read animations, cameras, lights, morph targets or compressed geometry, and decodes no picture.
 */
@NullMarked
package org.estampage.io.gltf;

import org.jspecify.annotations.NullMarked;
