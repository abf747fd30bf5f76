package org.estampage.examples.editor.view;

import java.text.DecimalFormat;
import java.text.DecimalFormatSymbols;
import java.util.Locale;
import javax.swing.JCheckBox;
import javax.swing.JFormattedTextField;
import javax.swing.JLabel;
import javax.swing.JPanel;
import javax.swing.JSlider;
import javax.swing.UIManager;
import org.estampage.examples.editor.model.CageModel;
import org.estampage.examples.editor.model.CageSettings;
import org.estampage.examples.editor.model.CageShape;
import org.estampage.examples.editor.model.CageState;

/** How far out the cage lies, and how many places of the high poly it does not hold. */
final class CageCard {
    private static final int STEPS = 1000;

    private final CageModel model;
    private final JPanel panel = Widgets.card("Cage");
    private final JSlider slider = Widgets.named(new JSlider(0, STEPS, 0), "cage offset", "Cage offset");
    private final JFormattedTextField number = Widgets.named(new JFormattedTextField(format()), "cage offset number",
            "Cage offset in mesh units");
    private final JCheckBox fitted = Widgets.named(new JCheckBox("Fit it to the high polys"), "cage fitted",
            "Fit the cage to the high polys");
    private final JLabel verdict = Widgets.text("cage verdict", 2);
    /** Set while controls are brought to the model's state, which they then must not write back. */
    private boolean showing;

    CageCard(CageModel model) {
        this.model = model;
        number.setColumns(6);
        slider.setPreferredSize(new java.awt.Dimension(100, slider.getPreferredSize().height));
        number.setMaximumSize(number.getPreferredSize());
        slider.setToolTipText("How far the cage lies off the low poly; rays begin on it");
        fitted.setToolTipText("Let the engine find the smallest cage that holds the high polys");
        Widgets.add(panel, Widgets.row(Widgets.label("Offset", 'o', slider), slider, number));
        Widgets.add(panel, fitted);
        Widgets.add(panel, verdict);
        slider.addChangeListener(event -> change(model.settings().get().withOffset(slider.getValue() * model.largestOffset() / STEPS)));
        number.addPropertyChangeListener("value", event -> typed());
        fitted.addActionListener(event -> change(model.settings().get().withFitted(fitted.isSelected())));
        model.settings().show(settings -> show(settings, model.state().get()));
        model.state().show(state -> show(model.settings().get(), state));
    }

    private static DecimalFormat format() {
        return new DecimalFormat("0.######", DecimalFormatSymbols.getInstance(Locale.ROOT));
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    private void change(CageSettings wanted) {
        if (!showing) {
            model.settings().set(wanted);
        }
    }

    private void typed() {
        if (number.getValue() instanceof Number value && Double.isFinite(value.doubleValue())) {
            change(model.settings().get().withOffset(Math.max(0, value.doubleValue())));
        }
    }

    private void show(CageSettings settings, CageState state) {
        CageShape shape = state.shape();
        boolean open = model.largestOffset() > 0;
        double offset = settings.fitted() && shape != null ? shape.cage().largestOffset() : settings.offset();
        showing = true;
        fitted.setSelected(settings.fitted());
        fitted.setEnabled(open);
        slider.setEnabled(open && !settings.fitted());
        number.setEnabled(open && !settings.fitted());
        if (!slider.getValueIsAdjusting()) {
            slider.setValue(open ? (int) Math.round(STEPS * Math.min(1, offset / model.largestOffset())) : 0);
        }
        number.setValue(offset);
        showing = false;
        verdict.setText(Widgets.wrapped(verdict(state), 205));
        boolean bad = state.phase() == CageState.Phase.CHECKED && !state.conflicts().isEmpty();
        verdict.setForeground(bad ? UIManager.getColor("Actions.Red") : state.phase() == CageState.Phase.CHECKED ? null : Widgets.pale());
    }

    private static String verdict(CageState state) {
        return switch (state.phase()) {
            case NONE -> state.about();
            case MAKING -> "Fitting …";
            case CHECKING -> "Looking where the high poly stands out …";
            case CHECKED -> state.about().isEmpty() ? counts(state) : state.about();
        };
    }

    private static String counts(CageState state) {
        if (state.conflicts().isEmpty()) {
            return "The cage holds all of the high poly.";
        }
        return count(state.outsideCount(), "vertex stands", "vertices stand") + " out of it, "
                + count(state.crossingCount(), "triangle goes", "triangles go") + " through it.";
    }

    private static String count(long count, String one, String several) {
        return Widgets.grouped(count) + " " + (count == 1 ? one : several);
    }
}
