package org.estampage.examples.editor.view;

import java.awt.BorderLayout;
import java.awt.image.BufferedImage;
import java.util.List;
import javax.swing.BorderFactory;
import javax.swing.JCheckBox;
import javax.swing.JComboBox;
import javax.swing.JPanel;
import javax.swing.Timer;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.examples.editor.drawing.LivePicture;
import org.estampage.examples.editor.drawing.MapLook;
import org.estampage.examples.editor.drawing.MapSheet;
import org.estampage.examples.editor.model.Lane;
import org.estampage.examples.editor.model.LiveMap;
import org.estampage.examples.editor.model.LiveMaps;
import org.estampage.examples.editor.model.Outcome;
import org.estampage.examples.editor.model.Spot;
import org.estampage.examples.editor.model.Workspace;
import org.estampage.raster.UvTile;
import org.estampage.task.Progress;
import org.jspecify.annotations.Nullable;

/** The map view with what chooses what it shows: which map, which channel, with or without what lies beyond charts, misses. */
final class MapPane {
    /** Between pictures of a bake that runs. */
    private static final int REFRESH_MILLIS = 120;
    private static final String[] CHANNELS = {"All", "Red", "Green", "Blue", "Alpha"};

    private final Workspace workspace;
    private final Lane lane = new Lane("editor map view");
    private final JPanel panel = new JPanel(new BorderLayout());
    private final MapView view = new MapView();
    private final JComboBox<String> map = Widgets.named(new JComboBox<>(), "map", "Map to look at");
    private final JComboBox<Integer> tile = Widgets.named(new JComboBox<>(), "tile", "UDIM tile to look at");
    private final JComboBox<String> channel = Widgets.named(new JComboBox<>(), "channel", "Channel to look at");
    private final JCheckBox padded = Widgets.named(new JCheckBox("Beyond charts", true), "padded",
            "Show what was continued beyond the charts");
    private final JCheckBox misses = Widgets.named(new JCheckBox("Misses"), "misses", "Mark texels that missed the high poly");
    private final Timer refresh = new Timer(REFRESH_MILLIS, event -> redraw());
    private boolean filling;

    MapPane(Workspace workspace) {
        this.workspace = workspace;
        padded.setToolTipText("Off shows the charts alone, as they were before their values were continued");
        misses.setToolTipText("Marks texels whose rays met nothing: pink where all missed, yellow where some did");
        JPanel bar = Widgets.row(map, tile, channel, null, padded, misses);
        bar.setBorder(BorderFactory.createEmptyBorder(Widgets.NEAR, Widgets.NEAR, Widgets.NEAR, Widgets.NEAR));
        panel.add(bar, BorderLayout.PAGE_START);
        panel.add(view, BorderLayout.CENTER);
        tile.setToolTipText("UDIM tile");
        tile.setVisible(false);
        map.addActionListener(event -> mapChosen());
        tile.addActionListener(event -> redraw());
        channel.addActionListener(event -> redraw());
        padded.addActionListener(event -> redraw());
        misses.addActionListener(event -> redraw());
        workspace.bake().live().onChange(this::showLive);
        workspace.bake().result().show(this::showResult);
        workspace.spot().onChange(this::goTo);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    /** Follows a bake from its start; after its end shows what it gave, or, where it was cancelled, what there was before. */
    private void showLive(@Nullable LiveMaps live) {
        enable(live != null, false);
        if (live != null) {
            view.clear();
            fill(live.names(), live.tiles());
            refresh.start();
        } else {
            refresh.stop();
            view.clear();
            showResult(workspace.bake().result().get());
        }
    }

    private void showResult(@Nullable BakeResult result) {
        enable(result != null, result != null);
        if (result != null) {
            fill(result.tiles().getFirst().maps().stream().map(BakedMap::name).toList(),
                    result.tiles().stream().map(BakedTile::number).toList());
            mapChosen();
        }
    }

    private void enable(boolean names, boolean rest) {
        map.setEnabled(names);
        channel.setEnabled(rest);
        padded.setEnabled(rest);
        misses.setEnabled(rest);
    }

    private void fill(List<String> names, List<Integer> tiles) {
        filling = true;
        fill(map, names);
        fill(tile, tiles);
        tile.setVisible(tiles.size() > 1);
        filling = false;
    }

    /** Offers other things, and keeps what is chosen where it is among them. */
    private static <T> void fill(JComboBox<T> box, List<T> offered) {
        Object before = box.getSelectedItem();
        box.removeAllItems();
        offered.forEach(box::addItem);
        box.setSelectedItem(before != null && offered.contains(before) ? before : offered.getFirst());
    }

    private int tile() {
        return tile.getSelectedItem() instanceof Integer number ? number : UvTile.UNIT.number();
    }

    private void mapChosen() {
        BakeResult result = workspace.bake().result().get();
        if (workspace.bake().live().get() != null) {
            redraw();
            return;
        }
        if (filling || result == null || !(map.getSelectedItem() instanceof String name)) {
            return;
        }
        int channels = result.tile(tile()).map(name).channels();
        int before = channel.getSelectedIndex();
        filling = true;
        channel.removeAllItems();
        for (int i = 0; i <= (channels == 1 ? 0 : channels); i++) {
            channel.addItem(channels == 1 ? "One" : CHANNELS[i]);
        }
        channel.setSelectedIndex(before >= 0 && before < channel.getItemCount() ? before : 0);
        filling = false;
        redraw();
    }

    private void redraw() {
        LiveMaps live = workspace.bake().live().get();
        if (live != null && !filling && map.getSelectedItem() instanceof String name) {
            LiveMap shown = live.map(tile(), name);
            lane.run(task -> LivePicture.of(shown), Progress.none(),
                    Outcome.of(picture -> showPicture(live, picture), workspace.jobs().notice()::set));
            return;
        }
        BakeResult result = workspace.bake().result().get();
        if (filling || result == null || !(map.getSelectedItem() instanceof String name)) {
            return;
        }
        MapLook look = new MapLook(tile(), name, Math.max(0, channel.getSelectedIndex()) - 1, padded.isSelected(), misses.isSelected());
        lane.cancel();
        lane.run(task -> MapSheet.draw(result, look, task), Progress.none(), Outcome.of(view::show, workspace.jobs().notice()::set));
    }

    /** Shows a picture of a bake, unless the bake ended since. */
    private void showPicture(LiveMaps of, BufferedImage picture) {
        if (workspace.bake().live().get() == of) {
            view.show(picture, of.size(), of.size());
        }
    }

    private void goTo(@Nullable Spot spot) {
        if (spot instanceof Spot.InMap texel) {
            tile.setSelectedItem(texel.tile()); // keeps what is chosen where there is no such tile
            view.goTo(texel.x(), texel.y());
        }
    }
}
