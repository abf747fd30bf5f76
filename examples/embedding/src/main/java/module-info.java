/** A program that embeds the engine; all it needs are named modules. */
module embedding {
    requires org.estampage.engine;
}
