package org.estampage.examples.editor.view;

import javax.accessibility.AccessibleContext;
import javax.accessibility.AccessibleRole;
import javax.swing.JComponent;

/** A view that draws itself, can have the focus and says to assistive programs that it is a picture. */
abstract class PaintedView extends JComponent {
    private static final long serialVersionUID = 1;

    PaintedView(String name, String spoken) {
        setFocusable(true);
        Widgets.named(this, name, spoken);
    }

    @Override
    public AccessibleContext getAccessibleContext() {
        if (accessibleContext == null) {
            accessibleContext = new AccessibleJComponent() {
                private static final long serialVersionUID = 1;

                @Override
                public AccessibleRole getAccessibleRole() {
                    return AccessibleRole.CANVAS;
                }
            };
        }
        return accessibleContext;
    }

    /** Returns how many of the screen's pixels stand for one of ours. */
    final double screenScale() {
        return getGraphicsConfiguration() == null ? 1 : getGraphicsConfiguration().getDefaultTransform().getScaleX();
    }
}
